package procedure

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Expression is a condition or a limit of a procedure: numbers, texts, names,
// a.b, a[i], + - * /, comparisons also in chains, and, or, not, and the
// functions abs, min, max and len. The zero Expression is none.
type Expression struct {
	text string
	root *node
}

// Bounds of an expression, so that none can wear the program out.
const (
	longestExpression = 500 // bytes
	deepestExpression = 40
)

// node is one step of an expression: an operator, a function or a leaf.
type node struct {
	op    string // of a leaf: number, text, name
	value Value
	name  string
	args  []*node
	ops   []string // between the args of a comparison
}

// ParseExpression reads an expression. The error says what is wrong, in words.
func ParseExpression(source string) (Expression, error) {
	if len(source) > longestExpression {
		return Expression{}, fmt.Errorf("an expression has at most %d characters", longestExpression)
	}
	tokens, err := scan(source)
	if err != nil {
		return Expression{}, err
	}
	p := &parser{tokens: tokens}
	root := p.either()
	if p.err == nil && p.at < len(p.tokens) {
		p.fail("%q is one too many", p.tokens[p.at].text)
	}
	if p.err != nil {
		return Expression{}, p.err
	}
	return Expression{source, root}, nil
}

// Given tells whether there is an expression.
func (e Expression) Given() bool { return e.root != nil }

// String returns an expression as it was written.
func (e Expression) String() string { return e.text }

// MarshalJSON writes an expression as it was written, and none as an empty text.
func (e Expression) MarshalJSON() ([]byte, error) { return json.Marshal(e.text) }

// Uses lists the names in an expression, with their fields: site.depth_m. Each
// stands once, in the order in which it is met.
func (e Expression) Uses() (names []string) {
	var walk func(n *node)
	walk = func(n *node) {
		if n == nil {
			return
		}
		if path := n.path(); path != "" {
			if !slices.Contains(names, path) {
				names = append(names, path)
			}
		}
		for _, below := range n.args {
			if n.op != "." {
				walk(below)
			}
		}
		if n.op == "." && n.path() == "" {
			walk(n.args[0])
		}
	}
	walk(e.root)
	return names
}

// path is the dotted name that a leaf stands for; empty where it is none.
func (n *node) path() string {
	switch n.op {
	case "name":
		return n.name
	case ".":
		if below := n.args[0].path(); below != "" {
			return below + "." + n.name
		}
	}
	return ""
}

type token struct {
	kind string // number, text, name, or the operator itself
	text string
}

var operators = []string{"<=", ">=", "==", "!=", "<", ">", "+", "-", "*", "/", "(", ")", "[", "]", ",", "."}

var keywords = []string{"and", "or", "not"}

// scan cuts an expression into tokens.
func scan(source string) (tokens []token, err error) {
	for rest := source; ; {
		rest = strings.TrimLeft(rest, " \t\n\r")
		if rest == "" {
			return tokens, nil
		}
		t, n := next(rest)
		if n == 0 {
			return nil, fmt.Errorf("%q has no meaning in an expression, at character %d", []rune(rest)[0], len(source)-len(rest)+1)
		}
		tokens, rest = append(tokens, t), rest[n:]
	}
}

// next reads the first token of a text, and how many bytes it has; none where
// there is no token.
func next(s string) (t token, n int) {
	c := s[0]
	switch {
	case digit(c):
		n = lengthOf(s, func(c byte) bool { return digit(c) })
		if n+1 < len(s) && s[n] == '.' && digit(s[n+1]) {
			n += 1 + lengthOf(s[n+1:], digit)
		}
		return token{"number", s[:n]}, n
	case letter(c):
		n = lengthOf(s, func(c byte) bool { return letter(c) || digit(c) })
		if slices.Contains(keywords, s[:n]) {
			return token{s[:n], s[:n]}, n
		}
		return token{"name", s[:n]}, n
	case c == '"' || c == '\'':
		if end := strings.IndexByte(s[1:], c); end >= 0 {
			return token{"text", s[1 : 1+end]}, end + 2
		}
		return token{}, 0
	}
	for _, op := range operators {
		if strings.HasPrefix(s, op) {
			return token{op, op}, len(op)
		}
	}
	return token{}, 0
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

func letter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == '_' }

func lengthOf(s string, of func(byte) bool) (n int) {
	for n < len(s) && of(s[n]) {
		n++
	}
	return n
}

// parser goes down from the loosest operator to the tightest. After a fault it
// takes nothing more.
type parser struct {
	tokens []token
	at     int
	depth  int
	err    error
}

func (p *parser) fail(format string, args ...any) *node {
	if p.err == nil {
		p.err = fmt.Errorf(format, args...)
	}
	return &node{op: "name", name: "?"}
}

// sees tells which of these comes next; empty for none of them.
func (p *parser) sees(kinds ...string) string {
	if p.err == nil && p.at < len(p.tokens) && slices.Contains(kinds, p.tokens[p.at].kind) {
		return p.tokens[p.at].kind
	}
	return ""
}

func (p *parser) take(kinds ...string) string {
	found := p.sees(kinds...)
	if found != "" {
		p.at++
	}
	return found
}

func (p *parser) want(kind string) {
	if p.take(kind) == "" {
		p.fail("%q is missing", kind)
	}
}

// deeper bounds how far an expression goes down.
func (p *parser) deeper(below func() *node) *node {
	p.depth++
	defer func() { p.depth-- }()
	if p.depth > deepestExpression {
		return p.fail("there are more than %d brackets within brackets", deepestExpression)
	}
	return below()
}

// chain reads operands with these operators between them, from the left.
func (p *parser) chain(below func() *node, ops ...string) *node {
	left := below()
	for {
		op := p.take(ops...)
		if op == "" {
			return left
		}
		left = &node{op: op, args: []*node{left, below()}}
	}
}

func (p *parser) either() *node { return p.chain(p.both, "or") }
func (p *parser) both() *node   { return p.chain(p.negated, "and") }

func (p *parser) negated() *node {
	if p.take("not") == "" {
		return p.compared()
	}
	return p.deeper(func() *node { return &node{op: "not", args: []*node{p.negated()}} })
}

func (p *parser) compared() *node {
	n := &node{op: "compare", args: []*node{p.sum()}}
	for {
		op := p.take("<=", ">=", "==", "!=", "<", ">")
		if op == "" {
			break
		}
		n.ops, n.args = append(n.ops, op), append(n.args, p.sum())
	}
	if len(n.ops) == 0 {
		return n.args[0]
	}
	return n
}

func (p *parser) sum() *node     { return p.chain(p.product, "+", "-") }
func (p *parser) product() *node { return p.chain(p.signed, "*", "/") }

func (p *parser) signed() *node {
	if p.take("-") == "" {
		return p.reached()
	}
	return p.deeper(func() *node { return &node{op: "negative", args: []*node{p.signed()}} })
}

// reached reads what stands by itself, with the fields and entries that are
// taken out of it.
func (p *parser) reached() *node {
	n := p.single()
	for {
		switch p.take(".", "[") {
		case ".":
			if p.sees("name") == "" {
				return p.fail("a name is missing after the full stop")
			}
			n = &node{op: ".", name: p.tokens[p.at].text, args: []*node{n}}
			p.at++
		case "[":
			index := p.deeper(p.either)
			p.want("]")
			n = &node{op: "[", args: []*node{n, index}}
		default:
			return n
		}
	}
}

var functions = map[string]struct{ least, most int }{"abs": {1, 1}, "len": {1, 1}, "min": {1, 10}, "max": {1, 10}}

func (p *parser) single() *node {
	switch p.take("number", "text", "name", "(") {
	case "number":
		x, err := strconv.ParseFloat(p.tokens[p.at-1].text, 64)
		if err != nil {
			return p.fail("%s is too large a number", p.tokens[p.at-1].text)
		}
		return &node{op: "value", value: Number(x)}
	case "text":
		return &node{op: "value", value: Text(p.tokens[p.at-1].text)}
	case "name":
		return p.named(p.tokens[p.at-1].text)
	case "(":
		n := p.deeper(p.either)
		p.want(")")
		return n
	}
	if p.at < len(p.tokens) {
		return p.fail("%q stands where a value is wanted", p.tokens[p.at].text)
	}
	return p.fail("it ends where a value is wanted")
}

// named is a name, or a function with what it is asked.
func (p *parser) named(name string) *node {
	if p.take("(") == "" {
		return &node{op: "name", name: name}
	}
	bounds, ok := functions[name]
	if !ok {
		return p.fail("there is no function %s; there are abs, min, max and len", name)
	}
	n := &node{op: name}
	for {
		n.args = append(n.args, p.deeper(p.either))
		if p.take(",") == "" {
			break
		}
	}
	p.want(")")
	if len(n.args) < bounds.least || len(n.args) > bounds.most {
		return p.fail("%s takes %d to %d values", name, bounds.least, bounds.most)
	}
	return n
}
