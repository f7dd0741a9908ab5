package database

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// longestWord is how many letters of a word are kept, and looked for.
const longestWord = 40

// words is a set of the words that a take is found by.
type words map[string]bool

// wordsOf are the words of a take, in order: those that a person may begin to type,
// and those that a filter asks for.
func wordsOf(f findable) []string {
	w := words{}
	for _, text := range slices.Concat([]string{f.model, f.serial, f.batch, f.note, f.person}, f.tags, f.notes) {
		w.addText(text)
	}
	day := f.at.Local() // the rest of it a search asks for by its time
	w.addPart(day.Format("02"))
	w.addPart(fold(day.Format("January")))
	w[exact("model", f.model)] = true
	w[exact("rig", f.rig)] = true
	for _, tag := range f.tags {
		w[exact("tag", tag)] = true
	}
	return slices.Sorted(maps.Keys(w))
}

// addText adds the words of a text. Of H6W-0417 these are h6w-0417, h6w, 0417 and
// 417: the whole, each of its beginnings that ends before a sign, each part between
// signs, and each number without its leading zeros.
func (w words) addText(text string) {
	for _, piece := range pieces(text) {
		w[piece] = true
		end := 0
		for _, part := range strings.FieldsFunc(piece, isSign) {
			end += strings.Index(piece[end:], part) + len(part)
			w[piece[:end]] = true
			w.addPart(part)
		}
	}
}

func (w words) addPart(part string) {
	w[part] = true
	if short := strings.TrimLeft(part, "0"); short != "" {
		w[short] = true
	}
}

// firstLetters is the word that stands for all that begin so. Short beginnings have
// one, since they begin very many.
func firstLetters(begin string) string { return "*" + begin }

// shortBeginning is how many letters such a beginning has at most.
const shortBeginning = 2

func isShort(begin string) bool { return utf8.RuneCountInString(begin) <= shortBeginning }

// withBeginnings adds to the words of a take their first letters. It is a set.
func withBeginnings(list []string) words {
	all := words{}
	for _, word := range list {
		all[word] = true
		if first, _ := utf8.DecodeRuneInString(word); isSign(first) { // of a filter
			continue
		}
		for i := range word {
			if begin := word[:i]; i > 0 && isShort(begin) {
				all[firstLetters(begin)] = true
			}
		}
		if isShort(word) {
			all[firstLetters(word)] = true
		}
	}
	return all
}

// exact is the word of a filter. It begins with a sign, so that no search begins it.
func exact(field, value string) string {
	const longest = 200 // bytes; an index has a limit
	if len(value) > longest {
		sum := sha256.Sum256([]byte(value))
		value = "sha256 " + hex.EncodeToString(sum[:])
	}
	return "=" + field + " " + value
}

// pieces are the folded texts between white space, without the signs at their ends.
func pieces(text string) []string {
	var found []string
	for piece := range strings.FieldsFuncSeq(fold(text), func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }) {
		if piece = strings.TrimFunc(shortened(piece), isSign); piece != "" {
			found = append(found, piece)
		}
	}
	return found
}

// shortened is at most the first longestWord letters of a piece.
func shortened(piece string) string {
	n := 0
	for i := range piece {
		if n == longestWord {
			return piece[:i]
		}
		n++
	}
	return piece
}

// fold makes texts equal that differ in case or in how their letters are composed
// (Unicode Standard, 3.13 default caseless matching; Annex 15, NFKC).
func fold(text string) string {
	if isPlain(text) {
		return strings.ToLower(text)
	}
	return norm.NFKC.String(cases.Fold().String(norm.NFKC.String(strings.ToValidUTF8(text, " "))))
}

func isPlain(text string) bool {
	return strings.IndexFunc(text, func(r rune) bool { return r >= utf8.RuneSelf }) < 0
}

// isSign tells whether a character is neither letter nor digit. Marks belong to the
// letter before them.
func isSign(r rune) bool {
	return !unicode.IsLetter(r) && !unicode.IsNumber(r) && !unicode.IsMark(r)
}
