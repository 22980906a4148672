package answer

import (
	"sync"
	"time"

	"tamis/bot/question"
)

// foods are the trees of what recipes are made of, worked out when first asked.
type foods struct {
	once *sync.Mutex
}

func allergens(b *Book, a *Answer, q *question.Question, _ time.Time) { a.unknown("unbuilt", q.About) }
func diets(b *Book, a *Answer, q *question.Question, _ time.Time)     { a.unknown("unbuilt", q.About) }
func menuFor(b *Book, a *Answer, q *question.Question, _ time.Time)   { a.unknown("unbuilt", q.About) }
func content(b *Book, a *Answer, q *question.Question, _ time.Time)   { a.unknown("unbuilt", q.About) }
func energy(b *Book, a *Answer, q *question.Question, _ time.Time)    { a.unknown("unbuilt", q.About) }
func costs(b *Book, a *Answer, q *question.Question, _ time.Time)     { a.unknown("unbuilt", q.About) }
