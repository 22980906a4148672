package name

// Slips is how many letters must be put in, taken out, changed or swapped with
// their neighbour to make b of a (optimal string alignment); ok is false where
// it takes more than most.
func Slips(a, b string, most int) (n int, ok bool) {
	x, y := []rune(a), []rune(b)
	if d := len(x) - len(y); d > most || -d > most {
		return 0, false
	}
	var short [3][48]int // most names need no memory of their own
	before, last, row := short[0][:], short[1][:], short[2][:]
	if len(y) >= len(row) {
		before, last, row = make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	}
	for j := range len(y) + 1 {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			d := min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d = min(d, before[j-2]+1)
			}
			row[j] = d
			least = min(least, d)
		}
		if least > most {
			return 0, false
		}
		before, last, row = last, row, before
	}
	n = last[len(y)]
	return n, n <= most
}
