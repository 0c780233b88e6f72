// Command logcheck sets the Go libraries for transparency logs beside ours: github.com/transparency-dev/merkle for
// RFC 6962 trees and golang.org/x/mod/sumdb/note for C2SP signed notes. The shapes of the lines are those of
// tests/src/bin/dump.rs.
//
//	logcheck make SEED     seeded logs, roots, proofs, and each with one thing wrong
//	logcheck check         verdicts on such lines from standard input
//	logcheck notes         opens {"vkey","note"} lines: what each says, or why it is refused
//	logcheck roots         {"leaves":[hex…]} lines: the root of each, and the inner hashes in the order they are stored
//	logcheck cosign        adds a witness's co-signature to {"note",…} lines (cosign.go)
//	logcheck cosigned      reads co-signatures of such lines
//	logcheck encrypt       standard input as an age file (backup.go)
//	logcheck decrypt       the other way round
package main

import (
	"bufio"
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math/rand"
	"os"
	"strconv"

	"github.com/transparency-dev/merkle/compact"
	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

var (
	hasher  = rfc6962.DefaultHasher
	factory = compact.RangeFactory{Hash: hasher.HashChildren}
	out     = bufio.NewWriter(os.Stdout)
)

type line struct {
	Kind   string            `json:"kind"`
	Leaves []string          `json:"leaves,omitempty"`
	Roots  map[string]string `json:"roots,omitempty"`
	Index  uint64            `json:"leaf_index"`
	Size   uint64            `json:"tree_size"`
	Leaf   string            `json:"leaf_hash,omitempty"`
	Root   string            `json:"root,omitempty"`
	Size1  uint64            `json:"size1"`
	Size2  uint64            `json:"size2"`
	Root1  string            `json:"root1,omitempty"`
	Root2  string            `json:"root2,omitempty"`
	Proof  []string          `json:"proof"`
	Valid  bool              `json:"valid"`
	What   string            `json:"what,omitempty"`
}

func must[T any](value T, err error) T {
	if err != nil {
		fmt.Fprintln(os.Stderr, "logcheck:", err)
		os.Exit(1)
	}
	return value
}

func unhex(text string) []byte { return must(hex.DecodeString(text)) }

func unhexAll(texts []string) [][]byte {
	all := make([][]byte, 0, len(texts))
	for _, text := range texts {
		all = append(all, unhex(text))
	}
	return all
}

func hexAll(hashes [][]byte) []string {
	all := make([]string, 0, len(hashes))
	for _, hash := range hashes {
		all = append(all, hex.EncodeToString(hash))
	}
	return all
}

func print(value any) {
	out.Write(must(json.Marshal(value)))
	out.WriteByte('\n')
}

func eachLine(act func([]byte)) {
	reader := bufio.NewReader(os.Stdin)
	for {
		text, err := reader.ReadBytes('\n')
		if len(text) > 0 {
			act(text)
		}
		if err != nil {
			return
		}
	}
}

// rootsOf gives the root at every size from the leaves alone; roots[n] is that of n leaves.
func rootsOf(leaves [][]byte) [][]byte {
	run := factory.NewEmptyRange(0)
	roots := [][]byte{hasher.EmptyRoot()}
	for _, leaf := range leaves {
		must(0, run.Append(hasher.HashLeaf(leaf), nil))
		roots = append(roots, must(run.GetRootHash(nil)))
	}
	return roots
}

func holds(l line) bool {
	switch l.Kind {
	case "inclusion":
		return proof.VerifyInclusion(hasher, l.Index, l.Size, unhex(l.Leaf), unhexAll(l.Proof), unhex(l.Root)) == nil
	case "consistency":
		return proof.VerifyConsistency(hasher, l.Size1, l.Size2, unhexAll(l.Proof), unhex(l.Root1), unhex(l.Root2)) == nil
	}
	return must(false, fmt.Errorf("unknown kind %q", l.Kind))
}

func check() {
	roots, sound, refused := 0, 0, 0
	disagree := []any{}
	eachLine(func(text []byte) {
		var l line
		must(0, json.Unmarshal(text, &l))
		if l.Kind == "log" {
			own := rootsOf(unhexAll(l.Leaves))
			for size, root := range l.Roots {
				roots++
				if !bytes.Equal(own[must(strconv.Atoi(size))], unhex(root)) {
					disagree = append(disagree, map[string]string{"kind": "root", "size": size, "root": root})
				}
			}
			return
		}
		switch held := holds(l); {
		case held != l.Valid:
			disagree = append(disagree, l)
		case held:
			sound++
		default:
			refused++
		}
	})
	print(map[string]any{"roots": roots, "sound": sound, "refused": refused, "disagree": disagree})
}

// tree keeps every node of a log, so that proofs can be made for any size of it.
type tree struct {
	leaves [][]byte
	nodes  map[compact.NodeID][]byte
	roots  [][]byte
}

func grow(dice *rand.Rand, count int) tree {
	t := tree{nodes: map[compact.NodeID][]byte{}, roots: [][]byte{hasher.EmptyRoot()}}
	run := factory.NewEmptyRange(0)
	keep := func(id compact.NodeID, hash []byte) { t.nodes[id] = hash }
	for range count {
		leaf := make([]byte, dice.Intn(24))
		dice.Read(leaf)
		t.leaves = append(t.leaves, leaf)
		hash := hasher.HashLeaf(leaf)
		keep(compact.NewNodeID(0, run.End()), hash)
		must(0, run.Append(hash, keep))
		t.roots = append(t.roots, must(run.GetRootHash(nil)))
	}
	return t
}

func (t tree) proof(nodes proof.Nodes, size uint64) []string {
	hashes := [][]byte{}
	for _, id := range nodes.IDs {
		hashes = append(hashes, t.nodes[id])
	}
	_, begin, end := nodes.Ephem()
	for at := begin; at < end; at++ {
		// A node at the right edge, not yet complete: its hash is the root of what is below it.
		first, last := nodes.IDs[at].Coverage()
		run := factory.NewEmptyRange(0)
		for leaf := first; leaf < min(last, size); leaf++ {
			must(0, run.Append(t.nodes[compact.NewNodeID(0, leaf)], nil))
		}
		hashes[at] = must(run.GetRootHash(nil))
	}
	return hexAll(must(nodes.Rehash(hashes, hasher.HashChildren)))
}

func (t tree) inclusion(index, size uint64) line {
	return line{Kind: "inclusion", Index: index, Size: size, Leaf: hex.EncodeToString(hasher.HashLeaf(t.leaves[index])),
		Root: hex.EncodeToString(t.roots[size]), Proof: t.proof(must(proof.Inclusion(index, size)), size)}
}

func (t tree) consistency(old, size uint64) line {
	return line{Kind: "consistency", Size1: old, Size2: size, Root1: hex.EncodeToString(t.roots[old]),
		Root2: hex.EncodeToString(t.roots[size]), Proof: t.proof(must(proof.Consistency(old, size)), size)}
}

func flip(dice *rand.Rand, text *string) {
	hash := unhex(*text)
	hash[dice.Intn(len(hash))] ^= 1 << dice.Intn(8)
	*text = hex.EncodeToString(hash)
}

// emit prints a sound line, the same with one thing wrong, and the same under other numbers.
func emit(dice *rand.Rand, l line) {
	l.What, l.Valid = "sound", holds(l)
	if !l.Valid {
		must(0, fmt.Errorf("a proof of its own does not hold: %+v", l))
	}
	print(l)
	wrong := l
	wrong.Proof = append([]string{}, l.Proof...)
	random := make([]byte, sha256.Size)
	dice.Read(random)
	at := 0
	if len(l.Proof) > 0 {
		at = dice.Intn(len(l.Proof))
	}
	root, leaf := &wrong.Root, &wrong.Leaf
	if l.Kind == "consistency" {
		root, leaf = &wrong.Root2, &wrong.Root1
	}
	switch kind := dice.Intn(8); {
	case kind == 0 && len(l.Proof) > 0:
		wrong.What = "a bit of the proof"
		flip(dice, &wrong.Proof[at])
	case kind == 1 && len(l.Proof) > 0:
		wrong.What = "a hash left out"
		wrong.Proof = append(wrong.Proof[:at], wrong.Proof[at+1:]...)
	case kind == 2:
		wrong.What = "a hash put in"
		wrong.Proof = append([]string{hex.EncodeToString(random)}, wrong.Proof...)
	case kind == 3:
		wrong.What = "the root at the end"
		wrong.Proof = append(wrong.Proof, *root)
	case kind == 4 && len(l.Proof) > 1:
		wrong.What = "two hashes exchanged"
		last := len(l.Proof) - 1
		wrong.Proof[0], wrong.Proof[last] = wrong.Proof[last], wrong.Proof[0]
	case kind == 5:
		wrong.What = "the root of nothing"
		*root = hex.EncodeToString(hasher.EmptyRoot())
	case kind == 6 && *root != *leaf:
		wrong.What = "leaf or old root exchanged with the root"
		*root, *leaf = *leaf, *root
	default:
		wrong.What = "a bit of the root"
		flip(dice, root)
	}
	if wrong.Valid = holds(wrong); wrong.Valid {
		must(0, fmt.Errorf("goes unnoticed: %+v", wrong))
	}
	print(wrong)
	other := l
	other.What = "renumbered"
	small, large := &other.Index, &other.Size
	if l.Kind == "consistency" {
		small, large = &other.Size1, &other.Size2
	}
	switch dice.Intn(5) {
	case 0:
		*small++
	case 1:
		*small = max(*small, 2) - 1
	case 2:
		*large++
	case 3:
		*large = max(*large, 2) - 1
	default:
		*large *= 2
	}
	other.Valid = holds(other)
	print(other)
}

func makeLogs(seed int64) {
	dice := rand.New(rand.NewSource(seed))
	for _, count := range []int{300, 1025, 20_000} {
		t := grow(dice, count)
		sizes := []uint64{512, 513, uint64(count)}
		if count == 300 {
			sizes = nil
			for size := range uint64(300) {
				sizes = append(sizes, size+1)
			}
		} else {
			for range 60 {
				sizes = append(sizes, uint64(dice.Intn(count))+1)
			}
		}
		roots := map[string]string{}
		for _, size := range sizes {
			roots[strconv.FormatUint(size, 10)] = hex.EncodeToString(t.roots[size])
		}
		print(line{Kind: "log", Leaves: hexAll(t.leaves), Roots: roots})
		for _, size := range sizes {
			for range 2 {
				emit(dice, t.inclusion(uint64(dice.Int63n(int64(size))), size))
				emit(dice, t.consistency(uint64(dice.Int63n(int64(size)))+1, size))
			}
		}
	}
}

// stored gives the hashes that golang.org/x/mod/sumdb/tlog would have stored for these leaves, in its places.
func stored(leaves [][]byte) []string {
	kept := []tlog.Hash{}
	read := tlog.HashReaderFunc(func(places []int64) ([]tlog.Hash, error) {
		found := []tlog.Hash{}
		for _, place := range places {
			found = append(found, kept[place])
		}
		return found, nil
	})
	for seq, leaf := range leaves {
		kept = append(kept, must(tlog.StoredHashes(int64(seq), leaf, read))...)
	}
	all := make([]string, 0, len(kept))
	for _, hash := range kept {
		all = append(all, hex.EncodeToString(hash[:]))
	}
	return all
}

// notes opens signed notes under a verifier key and says what it would have made of that key itself.
func notes() {
	eachLine(func(text []byte) {
		var given struct{ Vkey, Log, Public, Note string }
		must(0, json.Unmarshal(text, &given))
		told := map[string]string{"vkey": must(note.NewEd25519VerifierKey(given.Log, ed25519.PublicKey(unhex(given.Public))))}
		verifier, err := note.NewVerifier(given.Vkey)
		if err == nil {
			var opened *note.Note
			if opened, err = note.Open(unhex(given.Note), note.VerifierList(verifier)); err == nil {
				told["text"] = opened.Text
			}
		}
		if err != nil {
			told["refused"] = err.Error()
		}
		print(told)
	})
}

func main() {
	switch {
	case len(os.Args) == 3 && os.Args[1] == "make":
		makeLogs(must(strconv.ParseInt(os.Args[2], 10, 64)))
	case len(os.Args) == 2 && os.Args[1] == "check":
		check()
	case len(os.Args) == 2 && os.Args[1] == "notes":
		notes()
	case len(os.Args) == 2 && os.Args[1] == "roots":
		eachLine(func(text []byte) {
			var l line
			must(0, json.Unmarshal(text, &l))
			leaves := unhexAll(l.Leaves)
			roots := rootsOf(leaves)
			print(map[string]any{"root": hex.EncodeToString(roots[len(roots)-1]), "stored": stored(leaves)})
		})
	case len(os.Args) == 2 && os.Args[1] == "cosign":
		cosigns()
	case len(os.Args) == 2 && os.Args[1] == "cosigned":
		cosignatures()
	case len(os.Args) == 2 && os.Args[1] == "encrypt":
		encrypt()
	case len(os.Args) == 2 && os.Args[1] == "decrypt":
		decrypt()
	default:
		must(0, fmt.Errorf("make SEED | check | notes | roots | cosign | cosigned | encrypt | decrypt"))
	}
	must(0, out.Flush())
}
