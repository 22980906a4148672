// Package bank asks the built program questions whose answers it works out by itself and counts what comes back right,
// wrong, missed and overconfident: its tests take the books and questions of testdata in and give counts out, and import
// nothing that the program answers with.
package bank
