package look_test

import (
	"fmt"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord/look"
	"tamis/bot/reply"
)

// A reply becomes messages; a button comes back as what it asks.
func Example() {
	catalogue, err := reply.NewCatalogue()
	if err != nil {
		fmt.Println(err)
		return
	}
	words := catalogue.In("en")
	key := look.NewKey([]byte("from the installation's secret"), "lodehavn")
	l := look.New(key, words)

	a := &answer.Answer{Status: answer.StatusAnswer, About: "scale", Form: answer.FormAmounts, Title: answer.Title{Recipe: "bay custard", Factor: "3"},
		Facts: []answer.Fact{{What: "egg yolk", Shown: "390 g", Unit: "g", From: answer.FromBook}}}
	for _, part := range l.Render(&bot.Reply{Answer: a, Reply: words.Render(a)}, look.Options{Asker: "175928847299117063"}) {
		fmt.Println(part.Content)
	}

	id, _ := look.Button(key, look.Act{Do: look.DoAmount, Recipe: look.HashOf("recipes/bay-custard.yaml"), Revision: 3, Size: "× 2", What: "egg yolk"})
	act, err := look.Read(key, id) // weeks later
	if err != nil {
		fmt.Println(err)
		return
	}
	question, err := act.Question("bay custard", "")
	fmt.Println(question, err)
	_, err = look.Read(look.NewKey([]byte("from the installation's secret"), "another house"), id)
	fmt.Println(err)
	// Output:
	// ## 390 g egg yolk
	// bay custard × 3
	// how much egg yolk in bay custard × 2 <nil>
	// look: not a button of this house, or not as it was made
}
