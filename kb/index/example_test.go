package index_test

import (
	"context"
	"fmt"
	"strings"

	"tamis/kb/index"
)

func Example() {
	ctx := context.Background()
	x := index.New(book("1", "pear tart/pear/walnut", "pear sorbet/pear", "walnut butter/walnut", "rye bread/rye flour"))
	defer x.Close()
	for _, text := range []string{"something with pears and walnuts", "pear sorbte", "risotto"} {
		hits, err := x.Search(ctx, text, 3)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s:\n", text)
		for _, h := range hits {
			fmt.Printf("  %s (%s)", h.Recipe.Name, strings.Join(h.Matched, ", "))
			for _, c := range h.Corrected {
				fmt.Printf(", read %s as %s", c.From, c.To)
			}
			fmt.Println()
		}
	}
	// Output:
	// something with pears and walnuts:
	//   pear tart (pears, walnuts)
	// pear sorbte:
	//   pear sorbet (pear, sorbte), read sorbte as sorbet
	// risotto:
}
