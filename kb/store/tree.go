package store

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"maps"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// tree is the book's files by path. A tree is not changed once it is in use.
type tree map[string]*blob

// blob is one version of one file, parsed once.
type blob struct {
	path    string
	content string
	sum     [sha256.Size]byte

	mu     sync.Mutex
	parsed bool
	spoons quantity.Measure
	recipe *recipe.Recipe
	faults []recipe.Fault
}

func newBlob(path, content string) *blob {
	return &blob{path: path, content: content, sum: sha256.Sum256([]byte(content))}
}

func (b *blob) same(o *blob) bool {
	return b == o || b != nil && o != nil && b.sum == o.sum
}

// parse reads a recipe file, or takes what was read of its bytes before; the
// result is shared and not changed.
func (b *blob) parse(spoons quantity.Measure, from *compiled, u *recipe.Unpacker) (*recipe.Recipe, []recipe.Fault) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.parsed && b.spoons == spoons {
		return b.recipe, b.faults
	}
	ok := false
	if packed, has := from.of(b); has {
		b.recipe, b.faults, ok = u.Unpack(b.path, packed)
	}
	if !ok {
		b.recipe, b.faults = recipe.Parse(b.path, []byte(b.content), spoons)
	}
	b.parsed, b.spoons = true, spoons
	return b.recipe, b.faults
}

// state is all that a snapshot is built from.
type state struct {
	tree     tree
	revision int
	origins  *origins // nil: no log
	unread   []string
	faults   []recipe.Fault // beside those of the files themselves
}

// builder builds snapshots, and keeps what the last ones had in common.
type builder struct {
	mu                     sync.Mutex
	houseFrom, larderFrom  *blob
	house                  *recipe.House
	larder                 *larder.Larder
	houseFaults, larFaults []recipe.Fault
	last                   *kb.Snapshot // what the next one is made from
	cache                  *cache       // nil: none
}

func newBuilder() *builder { return &builder{} }

// snapshot builds st's; the only error is ctx's.
func (b *builder) snapshot(ctx context.Context, st state) (*kb.Snapshot, error) {
	in := kb.Input{Revision: st.revision}
	b.mu.Lock()
	house, houseFaults := b.readHouse(st.tree[houseFile])
	stock, stockFaults := b.readLarder(st.tree[larderFile])
	last := b.last
	b.mu.Unlock()
	in.House, in.Larder = house, stock
	in.Faults = slices.Concat(houseFaults, stockFaults, st.faults)
	var spoons quantity.Measure
	if house != nil {
		spoons = house.Spoons
	}
	if st.tree[houseFile] == nil && !slices.Contains(st.unread, houseFile) {
		in.Faults = append(in.Faults, recipe.Fault{Level: recipe.LevelWarning, Code: CodeNoHouse, File: houseFile,
			Text: "The book has no house.yaml: the time zone is UTC, and no food code is known.", Write: "house: NAME and time zone: ZONE in house.yaml"})
	}
	blobs := make([]*blob, 0, len(st.tree))
	for p, f := range st.tree {
		if isRecipe(p) {
			blobs = append(blobs, f)
		}
	}
	slices.SortFunc(blobs, func(x, y *blob) int { return cmp.Compare(x.path, y.path) })
	for _, p := range st.unread {
		if isRecipe(p) {
			in.Recipes = append(in.Recipes, kb.File{Path: p})
		}
	}
	if len(blobs)+len(in.Recipes) == 0 {
		in.Faults = append(in.Faults, recipe.Fault{Level: recipe.LevelWarning, Code: CodeNoRecipes, File: recipesDir,
			Text: "The book has no recipe: no file in recipes/ ends in .yaml.", Write: "recipe: NAME in recipes/NAME.yaml"})
	}
	in.Recipes = append(in.Recipes, parseAll(ctx, blobs, spoons, st.origins, b.cache.compiled(spoons))...)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	in.Fingerprint = st.fingerprint()
	s := kb.Rebuild(ctx, last, in)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	b.mu.Lock()
	b.last = s
	b.mu.Unlock()
	return s, nil
}

func (b *builder) readHouse(f *blob) (*recipe.House, []recipe.Fault) {
	if f == nil {
		return nil, nil
	}
	if f != b.houseFrom {
		b.house, b.houseFaults = recipe.ParseHouse(houseFile, []byte(f.content))
		b.houseFrom = f
	}
	return b.house, b.houseFaults
}

func (b *builder) readLarder(f *blob) (*larder.Larder, []recipe.Fault) {
	if b.larder == nil || f != b.larderFrom {
		var items []*larder.Item
		b.larFaults = nil
		if f != nil {
			items, b.larFaults = larder.Parse(larderFile, []byte(f.content))
		}
		b.larder, b.larderFrom = larder.New(items), f
	}
	return b.larder, b.larFaults
}

// parseAll parses the blobs, several at a time; the result is in their order.
func parseAll(ctx context.Context, blobs []*blob, spoons quantity.Measure, from *origins, cached *compiled) []kb.File {
	out := make([]kb.File, len(blobs))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), maxWorkers, len(blobs)) {
		wg.Go(func() {
			u := recipe.NewUnpacker(spoons)
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= len(blobs) {
					return
				}
				p := blobs[i].path
				r, faults := blobs[i].parse(spoons, cached, u)
				out[i] = kb.File{Path: p, ID: kb.RecipeID(p), Recipe: r, Faults: faults}
				if from != nil {
					out[i].ID, out[i].Revision = from.of(p)
				}
			}
		})
	}
	wg.Wait()
	return out
}

// isRecipe reports whether a path is one of a recipe file.
func isRecipe(p string) bool {
	if !strings.HasPrefix(p, recipesDir+"/") || path.Ext(p) != extension {
		return false
	}
	for part := range strings.SplitSeq(p, "/") {
		if strings.HasPrefix(part, ".") {
			return false
		}
	}
	return true
}

// fingerprint hashes paths and the hashes of their bytes, each with its length
// before it, and what else the snapshot says of its files.
func (st state) fingerprint() string {
	h := sha256.New()
	put := func(b string) {
		var n [8]byte
		binary.BigEndian.PutUint64(n[:], uint64(len(b)))
		h.Write(n[:])
		h.Write([]byte(b))
	}
	for _, p := range slices.Sorted(maps.Keys(st.tree)) {
		put(p)
		put(string(st.tree[p].sum[:]))
	}
	for _, p := range st.unread {
		put(p)
		put("unreadable")
	}
	for _, f := range st.faults {
		put(f.String())
	}
	return hex.EncodeToString(h.Sum(nil))
}
