package look

import (
	"crypto/hmac"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"hash/fnv"
	"strconv"
	"strings"
	"unicode/utf8"

	"tamis/bot"
	"tamis/kb"
)

// Do is what a button, a menu or a form asks for.
type Do uint8

// The acts. Their numbers are in messages that live for years: never renumber.
const (
	DoRecipe    Do = 1  // the whole recipe, at Size
	DoAmount    Do = 2  // how much of What, at Size; as a menu: of what is picked
	DoMethod    Do = 3  // the steps
	DoAllergens Do = 4  // what the book lists
	DoTimer     Do = 5  // What begins now; "": the bot asks which step
	DoCovers    Do = 6  // a form: for how many
	DoFactor    Do = 7  // a form: how many batches
	DoLeft      Do = 8  // a form: what is left
	DoChoose    Do = 9  // a menu: an answer to what was asked back; What is the question it began with
	DoYes       Do = 10 // write the change that was shown
	DoNo        Do = 11 // drop it
	DoTaken     Do = 12 // seen to what is due
	DoLater     Do = 13 // say it again in ten minutes
	DoReady     Do = 14 // what is ready, what runs
	DoNearest   Do = 15 // a menu: the recipe that was meant
	lastDo         = DoNearest
)

// Form reports whether pressing it opens a form. The submitted form has the same act.
func (d Do) Form() bool { return d == DoCovers || d == DoFactor || d == DoLeft }

// Act is what a press means: everything that is needed to answer it weeks later.
type Act struct {
	Do       Do
	Recipe   Hash // 0: none
	Revision int  // of the recipe when the button was made
	// Asker alone may press; "": anybody. An id of the platform, digits only.
	Asker string
	// Size is the size as a question says it: "× 3", "· 50 covers"; "": one batch.
	Size string
	What string
	// Mark is the [Mark] of the reply it stands under, for DoChoose, DoYes and DoNo:
	// of two questions in one talk a press answers its own or none.
	Mark uint32
}

// Hash stands for a recipe's id, which may be longer than a button can carry.
// Two recipes of one book have the same with a chance of about 1 in 10^11.
type Hash uint64

// HashOf returns the hash of an id; never 0.
func HashOf(id kb.RecipeID) Hash {
	h := fnv.New64a()
	h.Write([]byte(id))
	return Hash(max(1, h.Sum64()))
}

// Of finds the act's recipe in a book; nil: it is no longer there.
func (a Act) Of(s *kb.Snapshot) *kb.Recipe {
	if a.Recipe == 0 {
		return nil
	}
	for _, r := range s.Recipes {
		if HashOf(r.ID) == a.Recipe {
			return r
		}
	}
	return nil
}

// May reports whether a person may press it.
func (a Act) May(who string) bool { return a.Asker == "" || a.Asker == who }

// Errors of reading a custom id.
var (
	// ErrForeign: no custom id of this house, or one that was tampered with.
	ErrForeign = errors.New("look: not a button of this house, or not as it was made")
	// ErrNewer: made by a later version of tamis.
	ErrNewer = errors.New("look: a button of a later version")
)

const (
	version  = 1
	tagBytes = 12                 // of HMAC-SHA256: 96 bits
	mostID   = 100                // characters of a custom id
	mostRaw  = mostID * 3 / 4     // bytes that fit in base64
	mostBody = mostRaw - tagBytes // of these ours

	hasRecipe = 0x80 // beside the act: eight bytes of a recipe follow
)

var encoding = base64.RawURLEncoding.Strict()

// Key signs what buttons carry.
type Key struct{ key []byte }

// NewKey makes the key of one house out of a secret of the installation; keep the
// secret as long as old buttons shall work. Buttons of one house are foreign to another.
func NewKey(secret []byte, house string) Key {
	m := hmac.New(sha256.New, secret)
	m.Write([]byte("tamis button 1\x00" + house))
	return Key{m.Sum(nil)}
}

func (k Key) tag(body []byte) []byte {
	m := hmac.New(sha256.New, k.key)
	m.Write(body)
	return m.Sum(nil)[:tagBytes]
}

// Button returns the custom id of an act: 1 to 100 characters of A–Z, a–z, 0–9, - and _.
// False: the act does not fit, or is none.
func Button(k Key, a Act) (string, bool) {
	if a.Do == 0 || a.Do > lastDo || a.Revision < 0 || a.Revision > 1<<31-1 || !utf8.ValidString(a.Size) || !utf8.ValidString(a.What) || len(a.Size) > 127 || len(a.What) > 127 {
		return "", false
	}
	asker := uint64(0)
	if a.Asker != "" {
		var ok bool
		if asker, ok = snowflake(a.Asker); !ok {
			return "", false
		}
	}
	b := make([]byte, 0, mostRaw)
	b = append(b, version, byte(a.Do))
	if a.Recipe != 0 {
		b[1] |= hasRecipe
		b = binary.BigEndian.AppendUint64(b, uint64(a.Recipe))
	}
	b = binary.AppendUvarint(b, uint64(a.Revision))
	b = binary.AppendUvarint(b, asker)
	b = binary.AppendUvarint(b, uint64(a.Mark))
	b = append(append(b, byte(len(a.Size))), a.Size...)
	b = append(append(b, byte(len(a.What))), a.What...)
	if len(b) > mostBody {
		return "", false
	}
	return encoding.EncodeToString(append(b, k.tag(b)...)), true
}

// Read returns the act of a custom id, or ErrForeign, or ErrNewer.
func Read(k Key, id string) (Act, error) {
	if len(id) > mostID || strings.ContainsAny(id, "\r\n") { // which the decoder passes over
		return Act{}, ErrForeign
	}
	raw, err := encoding.DecodeString(id)
	if err != nil || len(raw) <= tagBytes {
		return Act{}, ErrForeign
	}
	b, tag := raw[:len(raw)-tagBytes], raw[len(raw)-tagBytes:]
	if subtle.ConstantTimeCompare(tag, k.tag(b)) != 1 {
		return Act{}, ErrForeign
	}
	if b[0] != version {
		return Act{}, ErrNewer
	}
	a, ok := decode(b)
	if !ok {
		return Act{}, ErrForeign
	}
	if a.Do > lastDo {
		return Act{}, ErrNewer
	}
	return a, nil
}

func decode(b []byte) (a Act, ok bool) {
	if len(b) < 2 {
		return a, false
	}
	a.Do = Do(b[1] &^ hasRecipe)
	recipe := b[1]&hasRecipe != 0
	b = b[2:]
	if recipe {
		if len(b) < 8 {
			return a, false
		}
		a.Recipe, b = Hash(binary.BigEndian.Uint64(b)), b[8:]
	}
	number := func() uint64 {
		n, size := binary.Uvarint(b)
		if size <= 0 {
			ok = false
			return 0
		}
		b = b[size:]
		return n
	}
	text := func() string {
		if len(b) == 0 || len(b) < 1+int(b[0]) {
			ok = false
			return ""
		}
		s := string(b[1 : 1+int(b[0])])
		b = b[1+int(b[0]):]
		return s
	}
	ok = true
	a.Revision = int(number() & (1<<31 - 1))
	if n := number(); n != 0 {
		a.Asker = strconv.FormatUint(n, 10)
	}
	a.Mark = uint32(number())
	a.Size, a.What = text(), text()
	return a, ok && len(b) == 0 && a.Do != 0
}

// Mark tells one reply from another: the same text and facts have the same mark.
func Mark(r *bot.Reply) uint32 {
	h := fnv.New32a()
	h.Write([]byte(r.Text))
	return max(1, h.Sum32())
}

// snowflake reads an id of the platform.
func snowflake(s string) (uint64, bool) {
	n, err := strconv.ParseUint(s, 10, 64)
	return n, err == nil && n != 0 && strconv.FormatUint(n, 10) == s
}
