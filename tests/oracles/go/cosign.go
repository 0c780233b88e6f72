package main

// C2SP cosignature/v1 by github.com/transparency-dev/formats/note, over notes opened by golang.org/x/mod/sumdb/note.

import (
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"

	fnote "github.com/transparency-dev/formats/note"
	"golang.org/x/mod/sumdb/note"
)

type cosigned struct {
	Note, Vkey, Name, Seed string
	Witnesses              []string
}

// cosigns adds a witness's line to a note: {"note","vkey" of the log,"name","seed" of the witness} to {"note","vkey"}.
func cosigns() {
	eachLine(func(text []byte) {
		var given cosigned
		must(0, json.Unmarshal(text, &given))
		seed := base64.StdEncoding.EncodeToString(append([]byte{4}, unhex(given.Seed)...))
		witness := must(fnote.NewSignerForCosignatureV1(fmt.Sprintf("PRIVATE+KEY+%s+00000000+%s", given.Name, seed)))
		opened := must(note.Open(unhex(given.Note), note.VerifierList(must(note.NewVerifier(given.Vkey)))))
		signed := must(note.Sign(opened, witness))
		print(map[string]string{"note": hex.EncodeToString(signed)})
	})
}

// cosignatures opens a note under the log's key and the witnesses': {"note","vkey","witnesses"} to {"cosigned"} or {"refused"}.
func cosignatures() {
	eachLine(func(text []byte) {
		var given cosigned
		must(0, json.Unmarshal(text, &given))
		log := must(note.NewVerifier(given.Vkey))
		known := []note.Verifier{log}
		for _, vkey := range given.Witnesses {
			known = append(known, must(fnote.NewVerifierForCosignatureV1(vkey)))
		}
		opened, err := note.Open(unhex(given.Note), note.VerifierList(known...))
		if err != nil {
			print(map[string]string{"refused": err.Error()})
			return
		}
		times, byLog := map[string]int64{}, false
		for _, line := range opened.Sigs {
			if line.Hash == log.KeyHash() && line.Name == log.Name() {
				byLog = true
				continue
			}
			times[line.Name] = must(fnote.CoSigV1Timestamp(line)).Unix()
		}
		if !byLog {
			print(map[string]string{"refused": "not signed by the log"})
			return
		}
		print(map[string]any{"cosigned": times})
	})
}
