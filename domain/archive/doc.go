// Package archive reads and writes what leaves an installation of leat: zip files
// that say themselves what is in them. Start with [NewWriter] and [Open]; what the
// archive of a project holds is a [Project], and tables for spreadsheets are made
// with [Table]. It knows nothing of databases, and believes nothing that it reads.
package archive
