package question

// The costs of understanding, in one place. An interpretation's cost is the sum
// over its spans, its frame and what it leaves unused; the lowest wins, and the
// margin to the next different answer decides how certain it is.
const (
	costSpan       = 1  // every name, number and unit, so that longer ones win
	costName       = 0  // a name written out in full
	costBroken     = 8  // a name of several words, written out, that is read in pieces
	costBrokenEnd  = 2  // the last words of a longer name, read in pieces
	costJoined     = 1  // a name joined or split: "icecream base"
	costTurned     = 2  // the words of a name in another order: "tuile rye"
	costCue        = 0  // words that tell what is asked; of equal costs fewer spans win
	costForeign    = 1  // a cue of another language than English
	costFix1       = 4  // one slip corrected in a name
	costFix2       = 8  // two slips
	costFixEnglish = 5  // added where the word as written is an English word
	costFixCue     = 6  // a slip corrected in a cue
	costPartHead   = 3  // a part of a name with its last word: "syrup" of "poaching syrup"
	costPartEnd    = 1  // the last words of a name, several of them: "rye loaf" of "dark rye loaf"
	costPart       = 6  // a part without it
	costPartWord   = 1  // each word left out of the name
	costFiller     = 0  // words that say nothing
	costLoose      = 2  // an English word that no frame asked for
	costTalkLoose  = 10 // added where what was said before is gone on from
	costUnit       = 6  // a unit that nothing uses: "per kilo"
	costLetter     = 1  // a single letter
	costStrange    = 10 // a word in no list
	costIngredient = 4  // a part of a recipe's name that is an ingredient's whole name
	costPassedOver = 6  // a part of a name, where another recipe's name is written out
	costCutShort   = 14 // a number read without the unit that follows it
	costNameWord   = 7  // a word of some name of the book
	costShort      = 3  // a word of up to three letters in no list: a slip of the thumb
	costFood       = 12 // a food word that the book lacks
	costNumber     = 14 // a number that nothing uses
	costLostName   = 12 // a name that nothing uses
	costLostItem   = 11 // an ingredient that the recipe lacks
	costItemPart   = 2  // "flour" for "buckwheat flour"
	costItemNested = 1  // found only in a linked recipe
	costGuessed    = 4  // a frame without the word that asks for it
	costFromTalk   = 3  // the recipe comes from what was said before
	costNoRecipe   = 6  // a recipe is needed and none is named
)

// Decision bounds on those costs.
const (
	// CertainBelow: up to this cost an answer is given without saying what was assumed.
	CertainBelow = 12
	// GuessBelow: a reading that guesses what is asked is answered up to this only.
	GuessBelow = 9
	// AnswerBelow: above this no answer is given.
	AnswerBelow = 14
	// Margin: two readings with different answers closer than this are asked about.
	Margin = 2
)

// cueWeights is what a cue costs when the frame has no use for it; cues not
// listed cost cueWeight.
const cueWeight = 4

var cueWeights = map[cue]int{
	cueFiller: 0, cueIn: 0, cueFor: 0, cueOf: 0, cueWith: 0, cueFrom: 0, cueAnd: 0, cueOr: 1, cueThan: 2,
	cueHowmuch: 3, cueHowmany: 3, cueCard: 2, cueAll: 2, cueIngredients: 3, cueThanks: 0, cueGreet: 0, cueHelp: 2, cueYes: 0, cueNo: 1,
	cueThat: 0, cueSame: 1, cueWhatabout: 0, cueOnebatch: 0, cueWhen: 3, cueOnly: 4, cueContain: 1, cueWeigh: 2, cueTotal: 2, cuePan: 2,
	cueNot: 6, cueWithout: 8, cueFree: 4, cueStir: 3, cuePercent: 5, cuePer100: 6, cueUnsafe: 10, cueChange: 9, cueSwap: 8, cueRescue: 9, cueHistory: 9,
	cueReduce: 8, cueHalf: 12, cueLose: 8, cueReading: 7, cueTimer: 9, cueLatest: 8, cueCost: 9, cueAllergen: 9, cueDiet: 9, cueEnergy: 9, cueUseby: 9, cueDensity: 9,
	cuePlan: 6, cuePrep: 7, cueOrder: 6, cueStock: 7, cuePlating: 5, cueBalance: 8, cueGel: 5, cueUses: 8, cueExtra: 8, cueFewer: 5,
	cueWhy: 9, cueMost: 9, cueModifier: 9, cueStart: 4, cueNet: 4, cueWithoutpan: 4, cueCapacity: 6, cueMethod: 5, cueTemp: 7, cueWent: 5, cueSetready: 5, cueYield: 3, cueFill: 4, cueMoulds: 4, cuePiece: 3, cuePortion: 3, cueBatch: 3, cueOven: 3,
	cueNever: 6, cueNumber1: 2, cueMakeable: 7, cueEnough: 3, cueUsable: 7, cueTimes: 3, cueRescale: 8,
}
