package main

// Opens and makes age files with a passphrase: filippo.io/age, the format's own authors' library.

import (
	"io"
	"os"

	"filippo.io/age"
)

// decrypt writes what the age file on standard input holds to standard output; the passphrase is in PASSPHRASE.
func decrypt() {
	identity := must(age.NewScryptIdentity(os.Getenv("PASSPHRASE")))
	must(io.Copy(out, must(age.Decrypt(os.Stdin, identity))))
}

// encrypt is the other way round.
func encrypt() {
	recipient := must(age.NewScryptRecipient(os.Getenv("PASSPHRASE")))
	recipient.SetWorkFactor(12)
	sealed := must(age.Encrypt(out, recipient))
	must(io.Copy(sealed, os.Stdin))
	must(0, sealed.Close())
}
