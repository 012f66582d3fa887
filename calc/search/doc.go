// Package search answers "what can this site give?": it tries every machine of
// a grid made from the site and the pipes that can be bought, and proposes the
// few that serve a wish best. Start with [New], judge ranges of candidates with
// [Search.Judge] on as many workers as there are, merge what they found and end
// with [Search.Answer]: the answer does not hang on how the work was shared out.
// It knows nothing of who asks.
package search
