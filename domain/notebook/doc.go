// Package notebook is what people do with leat: one method of [Notebook] for
// each use case. A method that changes something reads as the sentence it
// carries out: what the database says about the person, whether they may,
// whether what they ask makes sense, the calculation, the store; all in one
// transaction, or nothing. It knows no HTTP and no SQL.
package notebook
