package kb

// index finds recipes and names by folded name.
type index struct{}
