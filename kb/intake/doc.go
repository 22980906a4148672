// Package intake reads recipes of other forms: pasted lines, CSV or schema.org JSON-LD
// flow in, drafts with their doubts marked flow out, and a book's recipe as JSON-LD.
package intake
