// Package store keeps everything pegcard knows in one SQLite file.
//
// A public method is a transaction, or runs inside one that Once opened; a
// private helper is a statement. SQL stands literally in the function that uses
// it. What a person may not see is not found. Times are INTEGER Unix
// milliseconds, civil dates TEXT year-month-day. Facts are appended and
// superseded, never updated in place.
package store
