package question

import (
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// Want is the kind of thing asked.
type Want uint8

// The kinds of questions.
const (
	WantNothing   Want = iota
	WantAmount         // of Items in Targets
	WantCard           // whole recipes
	WantMethod         // the steps, or the next one
	WantSteps          // times and temperatures of steps
	WantKeeps          // how long it keeps
	WantWhere          // where it is kept or goes
	WantMakes          // how much or many one batch makes, what a piece weighs
	WantMakeable       // how much can be made from what is left
	WantMoulds         // how many moulds or trays are filled
	WantShareOf        // of an item in what goes into a target
	WantEnough         // whether what is there of an ingredient is enough
	WantBatches        // how many batches of a machine
	WantThing          // a pan, mould, machine, cold place or the house itself
	WantConvert        // a quantity in another unit
	WantAllergens      // what a recipe or ingredient contains
	WantDiet           // whom it suits
	WantMenuFor        // what somebody can eat over the whole book
	WantContent        // fat, sugars, water… of a recipe or ingredient
	WantEnergy
	WantCost
	WantUses    // which recipes use something
	WantUsable  // trimmed ↔ bought
	WantDensity // of an ingredient
	WantParts   // what is in it (names only)
	WantHelp
	WantThanks
	WantHello
	WantNever // never mind
	WantYes
	WantNo
	WantReading // what the pan must read, what is still to lose
	WantBrixTarget
	WantReady  // when something that went in is ready
	WantUseBy  // the date for the label
	WantLatest // when it must start
	WantTimer
	WantRescue
	WantSwap // what may stand in for Items[0]
	WantGel
	WantChange
	WantHistory
	WantUnsafe
	WantUnbuilt // a kind that is understood but not built

	WantEvaporated  // what boils off a reduction
	WantPanFit      // whether a reduction fits the pans
	WantReduceTo    // a reduction given in the question
	WantConcentrate // what a reduction does to salt, sugar, gelatine
	WantAlcoholLeft // after reducing or cooking
	WantNow         // a pan's reading reported while it reduces
	WantBoils       // water's or a syrup's boiling point, °Bx from it
	WantStage       // of cooked sugar
	WantSyrupScale  // °Bx, °Bé, density
	WantCrystal     // whether a syrup crystallises
	WantMixBrix     // what to add or mix for a °Bx
	WantBloom       // gelatine of another strength, leaves and powder
	WantSoak        // water that soaked gelatine carries
	WantGelCompare  // share of the water phase, softer or firmer
	WantAgent       // what is known of a gelling agent
	WantDose        // how much of an agent, whether a dose is right
	WantSmallDose   // how to weigh a small dose
	WantMelts       // whether a set thing holds at a temperature
	WantUnmould     // whether it has set, whether it can be unmoulded
	WantWeaken      // what weakens gelatine
	WantTemper      // temper curve of chocolate
	WantDrift       // a bowl out of temper
	WantSeed        // seed for tempering
	WantGanache     // fat, water and texture
	WantSiphon      // fill and chargers
	WantBrine       // brines and cures
	WantNitrite     // curing salt: refused

	WantStarted   // something went in: a timer
	WantRunning   // what is running
	WantReadyList // what is ready at a time
	WantLeft      // how long is left on something
	WantStop      // a timer
	WantCorrect   // it went in at another time
	WantSnooze
	WantTaken    // what was due is taken on
	WantLots     // which batches are of a day
	WantHandOver // the list for the next shift
	WantLogTemp  // a temperature to keep
	WantTrial    // how long something took
	WantTempLog  // what was told of temperatures
	WantShould   // where a logged thing should be by now

	WantCaution // whether something with a hazard of its own is all right
	WantGuest   // whether a dish is for somebody at risk, or its egg raw; Foods are who
	WantLimit   // what the food code says; Foods[0] is the topic
	WantHeat    // how long it takes to freeze, cool or thaw by its size
	WantKilled  // what a logged run of heat did to an organism

	WantKeepsMost // what of the book keeps longest
	WantStrike    // a temperature told is taken back
	WantNudge     // a running timer gets the cook's own nudges
	WantStepMass  // what a step weighs when it is over
)

// Question is one reading of a message.
type Question struct {
	Want    Want
	About   string   // answer-format's word
	Targets []Target // the recipes asked about; more than one where several are named
	Items   []Item   // the ingredients or parts asked for
	Have    *Given   // what is there, of [WantEnough]; of what is missing, of [WantSwap]
	To      *Item    // what is to stand in, of [WantSwap]
	Exclude []Item   // "without the gel"
	Parts   []string // only these parts of the recipe, folded
	Unit    quantity.Unit
	HasUnit bool
	// Quantity to convert, or the pan's reading, or bought/peeled mass.
	Quantity   quantity.Quantity
	QuantityHi *quantity.Quantity
	HasQty     bool
	Quantities []quantity.Quantity // further ones, in order
	DownTo     *quantity.Quantity  // what is to be left in the pan, where the cook says it
	Thing      *kb.Name            // pan, mould, machine, cold place
	// Steps: which verbs, and which of their properties.
	Verbs    []string
	Time     bool
	Temp     bool
	Core     bool
	Oven     bool
	Place    string             // "fridge", "freezer": asked of one place
	Next     bool               // the step after that of Verbs, or after the last one told
	Step     int                // the number of a step, from 1; −1: the last; 0: all
	MethodAt []int              // the steps meant, from 0, of [WantStepMass]
	Start    bool               // what goes into them is asked, not what is left
	Net      bool               // the pan's content, its tare taken off; of an ingredient, the weight after trimming first
	Gross    bool               // to buy, before trimming
	Ago      *quantity.Quantity // it went in so long ago, or the timer runs so long
	Goal     Goal
	Shortest bool     // the other end of a list is asked for, of [WantKeepsMost]
	Stands   bool     // asked how long it may stand out, of [WantUnsafe]
	Thawed   bool     // asked of what has been thawed
	Heated   []string // what a temperature is asked of inside the recipe: "syrup", "meringue"
	Before   []string // foods that are not in yet where a temperature is asked
	Content  []Content
	Per      Per
	Named    []recipe.Allergen // allergens that the message names where all are listed
	Allergen []recipe.Allergen // asked about; empty: all
	Diet     []string
	// Among are the recipes of which alone is asked ("which ice creams have …"); nil: all.
	Among     []*kb.Recipe
	AmongText string
	Whole     bool // of all recipes, not of the dishes alone
	Free      bool // asked for what is without them
	Clock     *Clock
	Say       string // the whole message, for what quotes it
	Rescue    Rescue // what went wrong
	Craft     Craft  // of the pan, the gel and the sugar
	// Readings are what the same pan was reported to read before, oldest first.
	Readings []Weighing
	Foods    []string
	Stood    Stood // why food is in doubt, of [WantUnsafe]
	Work     Work
	Heat     Heat

	// Also is a second thing asked of the same recipe in one message.
	Also *Question

	// FromTalk says which parts come from what was said before.
	FromTalk bool
	Cost     int
	Assumed  []Assumption
	Unused   []string // content words that nothing used
	Strange  []string // of these the ones in no list
	Lost     bool     // a name, number or food word was left unused
	// Modified is a recipe's name with a food word before it that does not belong
	// to it: "pistachio bavarois" where the book has another.
	Modified string
	Guessed  bool // no word says what is asked
	Missing  Missing
	Sized    string   // what is counted, where MissingSize
	Choices  []Choice // where Missing says what to choose between
	cues     cueSet
}

// Missing is what a reading still needs before it can be answered.
type Missing uint8

// What can be missing.
const (
	MissingNothing Missing = iota
	MissingRecipe
	MissingUnit
	MissingKind   // "for 60" of a recipe without covers or pieces
	MissingNumber // "1,200 g": which number
	MissingSize   // "for several portions": how many of Sized
	MissingItem
)

// Choice is one answer to a question back.
type Choice struct {
	Label    string
	Recipe   *kb.Recipe
	Question *Question // the whole question it stands for, where it is no recipe
	Text     string    // the message as it reads with this choice, "" where Question or Recipe says it
}

// Assumption is one thing taken for granted; Code is a message of the catalogue.
type Assumption struct {
	Code string
	Args []string
}

// Target is one recipe with the size asked for.
type Target struct {
	Recipe *kb.Recipe
	Scale  Scale
	Part   bool // only a part of its name was written
	// Shared are all recipes that have the other name which was written; none where
	// one alone has it.
	Shared []*kb.Recipe
}

// ScaleKind says in what a size is given.
type ScaleKind uint8

// The ways to give a size.
const (
	ScaleNone   ScaleKind = iota
	ScaleFactor           // N batches
	ScaleMass             // N g of finished mass
	ScaleVolume           // N ml of finished volume
	ScalePieces           // N pieces
	ScaleCovers           // N covers
	ScaleFor              // "for N": covers, else pieces
	ScaleCount            // N before the name: pieces where it makes pieces, else batches
	ScaleCells            // N cells of Mould
	ScaleMoulds           // N moulds, a word for the cells as well as for what holds them: the house knows
	ScaleSheets           // N sheets or trays of Mould (its own where none is named); All: all the house has
	ScaleGiven            // what is there of ingredients
	ScaleFrame            // N frames of Sides
)

// Scale is the size asked for.
type Scale struct {
	Kind  ScaleKind
	N     quantity.Number
	Mould *kb.Name
	Named bool // the mould's own name stands right behind the number: "2 dome 45"
	All   bool
	Sides []quantity.Number // of a frame, in cm: length, width and, if said, height
	Given []Given
	Only  bool // Given is all that is left
	Spare bool
	Have  quantity.Number // where N is what is missing: how many there are
	Need  quantity.Number // and how many there must be; 0: N was said
	Text  string          // as the cook wrote it
}

// Given is how much of one ingredient there is.
type Given struct {
	Item Item
	Q    quantity.Quantity
	Bare bool // no unit was said: grams, as the recipe has it
	// Gross: as bought, before trimming.
	Gross bool
}

// Item is an ingredient, part or linked recipe as the cook named it.
type Item struct {
	Text   string // as written
	Names  []string
	Larder *larder.Item
	Recipe *kb.Recipe
	Part   bool       // a part of a name
	Class  string     // an allergen class that stands for whichever line has it: "nuts"
	For    int        // the target it is asked of, from 1; 0: of all
	InBook bool       // a line of the book has it by that very name
	In     *kb.Recipe // the part of a dish that it is asked of: "salt in the brine"
	Step   int        // the step, from 1, whose share of it is asked for: "how much of the sugar goes in the milk"
	// Kind words: a food that the book lacks.
	Foreign bool
	own     []int32 // of a food of the built-in larder: the house's that may be meant
}

// Per says what a content or cost is counted for.
type Per uint8

// The bases of a content or cost.
const (
	PerDefault Per = iota
	Per100
	PerPiece
	PerCover
	PerBatch
	PerKilo
)

// Content is one component asked for.
type Content struct {
	Name string // "fat", "sugars", "solids", "msnf", "brix"…
	Key  mix.Key
	Sum  bool // not one key but a computed one
}

// Clock is a time of day or a day as written.
type Clock struct {
	Hour, Min int
	HasTime   bool
	Half      bool // the hour is below 13 and no am or pm says which
	Day       int  // +1 tomorrow, −1 yesterday
	HasDay    bool
	Weekday   int    // 1 Monday … 7 Sunday; 0: none
	Date      int    // of Month, 1 to 31; 0: none
	Month     int    // 1 January … 12 December; 0: none, −1: a date without its month
	Service   string // "service", "lunch", "dinner"
	Now       bool
}

// Has reports whether the message holds a word of that tag of the word files.
func (q *Question) Has(tag string) bool {
	c, ok := cueNamed(tag)
	return ok && q.cues.has(c)
}

// Plain is the cost without that of ingredients that a recipe, named in full,
// lacks: that it lacks them is the answer.
func (q *Question) Plain() int {
	c := q.Cost
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil || q.Targets[0].Part {
		return c
	}
	for i := range q.Items {
		if q.Items[i].Foreign {
			c -= costLostItem
		}
	}
	return c
}
