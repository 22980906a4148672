package speedpeers

import (
	"context"
	"database/sql"
	"flag"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/blevesearch/bleve/v2"
	_ "modernc.org/sqlite"

	"tamis/bot"
	"tamis/kb"
	"tamis/kb/index"
	"tamis/kb/index/internal/made"
	"tamis/kb/store"
)

var recipes = flag.Int("recipes", 0, "number of recipes; 0: 300 and 10,000")

func forSizes(b *testing.B, run func(b *testing.B, all []made.Recipe)) {
	sizes := []int{300, 10_000}
	if *recipes > 0 {
		sizes = []int{*recipes}
	}
	for _, n := range sizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) { run(b, made.Recipes(n)) })
	}
}

// place is the last word of a recipe's name.
func place(r made.Recipe) string { return r.Name[strings.LastIndexByte(r.Name, ' ')+1:] }

func ingredients(r made.Recipe) string {
	return "something with " + r.Ingredients[0] + " and " + r.Ingredients[1]
}

// document is a recipe as anyone would give it to bleve, with nothing of ours.
type document struct{ Name, Also, Ingredients, Text string }

func documentOf(r made.Recipe) document {
	return document{r.Name, strings.Join(r.Also, "; "), strings.Join(r.Ingredients, "; "), r.Text()}
}

func rawBleve(b *testing.B, all []made.Recipe) bleve.Index {
	b.Helper()
	x, err := bleve.NewUsing("", bleve.NewIndexMapping(), "scorch", "scorch", nil)
	if err != nil {
		b.Fatal(err)
	}
	batch := x.NewBatch()
	for i, r := range all {
		if err := batch.Index(fmt.Sprint(i), documentOf(r)); err != nil {
			b.Fatal(err)
		}
		if batch.Size() == 2500 || i == len(all)-1 {
			if err := x.Batch(batch); err != nil {
				b.Fatal(err)
			}
			batch = x.NewBatch()
		}
	}
	return x
}

func BenchmarkRawBleveBuild(b *testing.B) {
	forSizes(b, func(b *testing.B, all []made.Recipe) {
		for b.Loop() {
			rawBleve(b, all).Close()
		}
	})
}

func benchmarkRawBleve(b *testing.B, fuzziness int, text func(made.Recipe) string) {
	forSizes(b, func(b *testing.B, all []made.Recipe) {
		x := rawBleve(b, all)
		defer x.Close()
		i := 0
		for b.Loop() {
			q := bleve.NewMatchQuery(text(all[i%len(all)]))
			q.SetFuzziness(fuzziness)
			res, err := x.Search(bleve.NewSearchRequestOptions(q, 5, 0, false))
			if err != nil || len(res.Hits) == 0 {
				b.Fatal(res, err)
			}
			i++
		}
	})
}

func BenchmarkRawBleveMatch(b *testing.B)       { benchmarkRawBleve(b, 0, place) }
func BenchmarkRawBleveFuzzy(b *testing.B)       { benchmarkRawBleve(b, 1, made.Mistyped) }
func BenchmarkRawBleveIngredients(b *testing.B) { benchmarkRawBleve(b, 0, ingredients) }

// BenchmarkRawBleveFuzzyName is a fuzzy match of a whole name of four words.
func BenchmarkRawBleveFuzzyName(b *testing.B) {
	benchmarkRawBleve(b, 1, func(r made.Recipe) string { return r.Name })
}

func sqlite(b *testing.B, all []made.Recipe) *sql.DB {
	b.Helper()
	db, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		b.Fatal(err)
	}
	db.SetMaxOpenConns(1) // each connection has a memory of its own
	if _, err := db.Exec(`create virtual table recipes using fts5(name, also, ingredients, text, tokenize = "unicode61 remove_diacritics 2")`); err != nil {
		b.Fatal(err)
	}
	tx, err := db.Begin()
	if err != nil {
		b.Fatal(err)
	}
	for _, r := range all {
		d := documentOf(r)
		if _, err := tx.Exec(`insert into recipes values (?, ?, ?, ?)`, d.Name, d.Also, d.Ingredients, d.Text); err != nil {
			b.Fatal(err)
		}
	}
	if err := tx.Commit(); err != nil {
		b.Fatal(err)
	}
	return db
}

func BenchmarkSQLiteBuild(b *testing.B) {
	forSizes(b, func(b *testing.B, all []made.Recipe) {
		for b.Loop() {
			sqlite(b, all).Close()
		}
	})
}

func benchmarkSQLite(b *testing.B, query func(made.Recipe) string) {
	forSizes(b, func(b *testing.B, all []made.Recipe) {
		db := sqlite(b, all)
		defer db.Close()
		st, err := db.Prepare(`select name from recipes where recipes match ? order by bm25(recipes, 8, 5, 3, 1) limit 5`)
		if err != nil {
			b.Fatal(err)
		}
		i := 0
		for b.Loop() {
			rows, err := st.Query(query(all[i%len(all)]))
			if err != nil {
				b.Fatal(err)
			}
			n := 0
			for rows.Next() {
				var name string
				if err := rows.Scan(&name); err != nil {
					b.Fatal(err)
				}
				n++
			}
			if err := rows.Close(); err != nil || n == 0 {
				b.Fatal(n, err)
			}
			i++
		}
	})
}

// FTS5 has no fuzzy match: the word as it is, and any word of a name.
func BenchmarkSQLiteMatch(b *testing.B) {
	benchmarkSQLite(b, func(r made.Recipe) string { return `"` + place(r) + `"` })
}

func BenchmarkSQLiteName(b *testing.B) {
	benchmarkSQLite(b, func(r made.Recipe) string {
		return `"` + strings.Join(strings.Fields(r.Name), `" OR "`) + `"`
	})
}

func BenchmarkSQLiteIngredients(b *testing.B) {
	benchmarkSQLite(b, func(r made.Recipe) string {
		return `ingredients: ("` + r.Ingredients[0] + `" AND "` + r.Ingredients[1] + `")`
	})
}

// A whole answered question: understood, calculated and worded, of the same book.
func benchmarkQuestion(b *testing.B, name func(made.Recipe) string) {
	forSizes(b, func(b *testing.B, all []made.Recipe) {
		s, err := store.Load(context.Background(), made.Book(len(all)))
		if err != nil || len(s.Recipes) != len(all) {
			b.Fatal(len(s.Recipes), err)
		}
		k, err := bot.NewAsker(func(context.Context) (*kb.Snapshot, error) { return s, nil })
		if err != nil {
			b.Fatal(err)
		}
		ask := func(i int) string {
			r := all[i%len(all)]
			m := bot.Message{Conversation: bot.ConversationID(fmt.Sprint(i)), At: time.Date(2026, 3, 14, 22, 40, 0, 0, time.UTC), Role: bot.Commis,
				Text: "how much " + r.Ingredients[0] + " for 3x " + name(r)}
			reply, err := k.Ask(context.Background(), m)
			if err != nil {
				b.Fatal(err)
			}
			return string(reply.Status)
		}
		ask(0)
		answered, n := 0, 0
		var took []time.Duration
		for b.Loop() {
			t := time.Now()
			status := ask(n)
			took = append(took, time.Since(t))
			if n++; status == "answer" {
				answered++
			}
		}
		slices.Sort(took)
		b.ReportMetric(float64(took[len(took)/2].Microseconds()), "µs-median")
		b.ReportMetric(float64(100*answered/n), "%answered")
	})
}

func BenchmarkQuestion(b *testing.B) {
	benchmarkQuestion(b, func(r made.Recipe) string { return r.Name })
}

func BenchmarkQuestionMistyped(b *testing.B) {
	benchmarkQuestion(b, func(r made.Recipe) string {
		return r.Name[:strings.LastIndexByte(r.Name, ' ')+1] + made.Mistyped(r)
	})
}

func benchmarkIndex(b *testing.B, text func(made.Recipe) string) {
	forSizes(b, func(b *testing.B, all []made.Recipe) {
		s, err := store.Load(context.Background(), made.Book(len(all)))
		if err != nil || len(s.Recipes) != len(all) {
			b.Fatal(len(s.Recipes), err)
		}
		x := index.New(s)
		defer x.Close()
		if _, err := x.Search(context.Background(), "pear", 1); err != nil {
			b.Fatal(err)
		}
		i := 0
		for b.Loop() {
			hits, err := x.Search(context.Background(), text(all[i%len(all)]), 5)
			if err != nil || len(hits) == 0 {
				b.Fatal(hits, err)
			}
			i++
		}
	})
}

func BenchmarkIndexMatch(b *testing.B)       { benchmarkIndex(b, place) }
func BenchmarkIndexFuzzy(b *testing.B)       { benchmarkIndex(b, made.Mistyped) }
func BenchmarkIndexIngredients(b *testing.B) { benchmarkIndex(b, ingredients) }
func BenchmarkIndexName(b *testing.B) {
	benchmarkIndex(b, func(r made.Recipe) string { return r.Name })
}
