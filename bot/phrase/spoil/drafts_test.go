package spoil

// questions are what is asked of the demo book, by the shape of the reply: what
// its slots are for decides which sentences fit around them.
var questions = map[string][]string{
	"amount": { // an amount, what it is for
		"how much yolk for 3x ice cream base", "how much buckwheat flour in the buckwheat crumble", "how much cream in the bay custard",
		"how much vinegar in the pickling liquor", "pickled shallots vinegar", "half a batch of rye tuile, how much rye flour",
		"1 1/2 batches of pear gel, how much agar", "how much gelatine in the walnut dome",
	},
	"sized": { // an amount, a recipe of a size, how many batches that is
		"buckwheat tuile for 40, how much butter", "how much brown butter for 12 walnut domes", "how much sugar in pear gel for 500 g pear juice",
		"how much flour for 20 brioches",
	},
	"pair": {"2x bay custard how much yolk and cream"}, // two amounts, what they are for
	"turned": { // one measure, the measure it was
		"200 ml cream in g", "1.5 kg milk in l", "180 c in f", "how many eggs for 450 g yolk",
	},
	"step": { // a figure with its verb, the recipe
		"rye tuile: oven?", "how long does pear gel set", "how hot is the oven for brioche", "core temperature of the poached cod",
		"ice cream base, how long does the mix ripen", "how long does the crumble bake", "how long can the mayonnaise stay in the fridge",
		"total mass of the buckwheat crumble", "how much is a batch of walnut ice cream", "brix of the sorrel sorbet",
	},
	"steps": { // two figures, the recipe
		"bay custard: what temperature", "how long does the brioche prove", "has the walnut dome set after 3 h",
		"only 180 g yolk left, how many domes", "how many walnut domes does one batch make", "what does the wide pan weigh empty",
	},
	"cost":  {"what does a portion of buckwheat crumble cost", "price of walnuts"}, // a cost, of what
	"costs": {"cost of the walnut dome", "cost of pear and sorrel"},                // a cost, a cost each, of what
	"alone": {"boiling point of a 70 brix syrup", "syrup at 112 C how many brix"},  // one figure
	"two": { // two figures
		"30 baume in brix", "is 118 soft ball", "will a 70 brix syrup crystallise in the fridge", "mix 60 and 20 brix to get 1 kg at 30 brix",
		"salt for 2 kg cod and 3 l water at 2 % equilibrium", "at what temp does agar set",
	},
	"three": {"perry reduction in the wide pan, what does it read at the end", "how much alcohol is left in the perry reduction"}, // three figures, the recipe
	"four":  {"reduce 2 kg stock to 600 g in the wide pan, what does it read"},                                                    // four figures
}

// english are good drafts, as a colleague would type them.
var english = map[string][]string{
	"amount": {
		"You need [[1]] for [[2]].", "For [[2]] you need [[1]].", "For [[2]] that's [[1]].", "That's [[1]] for [[2]].",
		"That makes [[1]] for [[2]], chef.", "[[1]] for [[2]].", "[[2]] takes [[1]].", "[[2]] calls for [[1]].", "[[2]] wants [[1]].",
		"[[2]] needs [[1]].", "The book says [[1]] for [[2]].", "Our book has [[1]] for [[2]].", "It's [[1]] for [[2]].",
		"Weigh out [[1]] for [[2]].", "Grab [[1]] for [[2]].", "Get [[1]] ready for [[2]].", "So, [[1]] for [[2]], chef!",
		"Right: [[1]] for [[2]].", "Here you go: [[1]] for [[2]].", "Looking at [[2]], you want [[1]].",
		"If you're making [[2]], you'll need [[1]].", "When you make [[2]], put in [[1]].", "[[2]]? That's [[1]].", "[[2]]: [[1]].",
		"[[2]]. [[1]]!", "[[2]] — that's [[1]], chef.", "I've got [[1]] down for [[2]].", "I have [[1]] written down for [[2]].",
		"We use [[1]] in [[2]].", "We put [[1]] into [[2]].", "There's [[1]] in [[2]].", "[[1]] goes into [[2]].",
		"[[1]] is what [[2]] needs.", "[[1]] is what you need for [[2]].", "What you want is [[1]] for [[2]].",
		"Sure thing! [[1]] for [[2]].", "Of course. For [[2]], take [[1]].", "Happy to help: [[2]] takes [[1]].", "Easy: [[1]] for [[2]].",
		"Plan on [[1]] for [[2]].", "Set aside [[1]] for [[2]].", "Have [[1]] on hand for [[2]].", "To make [[2]], use [[1]].",
		"The house recipe for [[2]] has [[1]].", "In [[2]] there's [[1]].", "As the book has it, [[2]] takes [[1]].",
		"According to the book, it's [[1]] for [[2]].", "Hey, [[1]] for [[2]].", "Hi chef, [[2]] needs [[1]].",
		"All right, you'll want [[1]] for [[2]].", "OK, so for [[2]] we need [[1]].", "Let's see: [[2]] takes [[1]].",
		"For [[2]], reach for [[1]].", "Put [[1]] on the scale for [[2]].",
	},
	"sized": {
		"You need [[1]] for [[2]], that's [[3]].", "[[2]] is [[3]], so [[1]].", "For [[2]] take [[1]] ([[3]]).", "[[2]] takes [[1]], at [[3]].",
		"We're at [[3]] for [[2]], which means [[1]].", "[[1]] for [[2]]; [[3]].", "For [[2]] ([[3]]) you need [[1]].",
		"So [[2]] works out to [[3]], and that's [[1]], chef.", "Weigh out [[1]]: that's for [[2]], the recipe [[3]].",
		"[[2]] comes to [[3]], so you'll want [[1]].", "Here you go: [[1]], for [[2]] at [[3]].", "For [[2]], make the recipe [[3]]. You need [[1]].",
		"To get [[2]], scale the recipe [[3]] and use [[1]].", "[[1]] will do it for [[2]] ([[3]]).",
	},
	"pair": {
		"You need [[1]] and [[2]] for [[3]].", "For [[3]]: [[1]] and [[2]].", "[[3]] takes [[1]] and [[2]].", "That's [[1]] and [[2]] for [[3]], chef.",
		"For [[3]] get [[1]] together with [[2]].", "[[3]] wants [[1]] along with [[2]].", "Weigh out [[1]], then [[2]], for [[3]].",
		"Here you go, for [[3]]: [[1]], [[2]].", "It all goes into [[3]]: [[1]] and [[2]].", "The book has [[1]] and also [[2]] for [[3]].",
	},
	"turned": {
		"[[2]] is [[1]].", "[[2]] comes to [[1]].", "[[2]] makes [[1]].", "That's [[1]] for [[2]].", "[[2]] equals [[1]].", "[[2]] works out to [[1]].",
		"[[2]] gives you [[1]].", "Converted, [[2]] is [[1]].", "So [[2]], that's [[1]].", "[[1]] is what you get from [[2]].",
		"In other words, [[2]] is [[1]].", "Put another way: [[1]] for [[2]].", "[[2]] turns into [[1]].", "From [[2]] you get [[1]].",
		"[[2]] corresponds to [[1]].", "Here's the conversion: [[2]] is [[1]].", "I make that [[1]] for [[2]].", "[[2]] converts to [[1]].",
		"Sure, [[2]] is the same as [[1]].", "Quick answer: [[2]] is [[1]].",
	},
	"step": {
		"[[2]]: [[1]].", "For [[2]], [[1]].", "[[2]] – that's [[1]], chef.", "The book says for [[2]]: [[1]].", "Here's what the book has for [[2]]: [[1]].",
		"Sure: [[1]]. That's for [[2]].", "On [[2]] the book is clear: [[1]].", "[[1]] – that's how we do [[2]].", "That's [[1]] for [[2]].",
		"Got it: [[2]], [[1]].", "For [[2]] it says [[1]].", "House rule for [[2]]: [[1]].", "Right, [[2]]: [[1]].", "Here you are, [[2]]: [[1]].",
		"It's down as [[1]] for [[2]].", "[[2]] goes like this: [[1]].", "In our book [[2]] reads: [[1]].", "Okay chef, for [[2]]: [[1]].",
		"The recipe for [[2]] says [[1]].", "With [[2]], it's [[1]].",
	},
	"steps": {
		"[[3]]: [[1]], [[2]].", "For [[3]]: [[1]] and [[2]].", "[[3]]: [[1]], then [[2]].", "The book says for [[3]]: [[1]], [[2]].",
		"Here's [[3]]: [[1]], and [[2]].", "Right, for [[3]] it's [[1]] and [[2]].", "[[1]], [[2]] – that's [[3]], chef.", "[[3]] goes like this: [[1]]. And [[2]].",
		"On [[3]] we have [[1]] and [[2]].", "Sure. [[3]]: [[1]]; [[2]].",
	},
	"cost": {
		"[[2]] comes in at [[1]].", "[[1]] for [[2]].", "It's [[1]] for [[2]].", "[[2]] runs to [[1]].", "For [[2]] I get [[1]].",
		"You're looking at [[1]] for [[2]].", "The figure for [[2]] is [[1]].", "[[2]]: [[1]], chef.", "For [[2]] the book has [[1]].", "That puts [[2]] at [[1]].",
	},
	"costs": {
		"[[3]] comes to [[1]], which is [[2]].", "For [[3]] that's [[1]], and [[2]].", "[[1]] for [[3]], so [[2]].", "[[3]]: [[1]], [[2]].",
		"I get [[1]] and [[2]] for [[3]].", "[[3]] comes in at [[1]]; that makes [[2]].", "Here are the figures for [[3]]: [[1]], [[2]].", "That's [[1]] for [[3]], and so [[2]].",
	},
	"alone": {
		"That's [[1]].", "It's [[1]], chef.", "You're looking for [[1]].", "Here you go: [[1]].", "The answer is [[1]].", "The table says [[1]].",
		"Sure, [[1]].", "The book gives [[1]].", "Look for [[1]].", "So: [[1]].",
	},
	"two": {
		"[[1]], and [[2]].", "That's [[1]] and [[2]].", "You have [[1]] and [[2]], chef.", "Here you go: [[1]]; [[2]].", "I get [[1]], along with [[2]].",
		"Right: [[1]]. Also [[2]].", "The tables give [[1]] and [[2]].", "So you've got [[1]], and then [[2]].",
	},
	"three": {
		"[[4]]: [[1]], [[2]], [[3]].", "For [[4]] that's [[1]], with [[2]] and [[3]].", "[[4]] comes to [[1]]. That's [[2]] and [[3]].",
		"Here's [[4]]: [[1]], then [[2]] and [[3]].", "On [[4]] I get [[1]], [[2]] and [[3]], chef.",
	},
	"four": {
		"That's [[1]], with [[2]], [[3]] and [[4]].", "Here you go: [[1]], [[2]], [[3]], [[4]].", "[[1]]. The rest: [[2]], [[3]] and [[4]].",
		"Look for [[1]], chef. You have [[2]], [[3]] and [[4]].",
	},
}

// others are good drafts in the other languages a house may answer in.
var others = map[string]map[string][]string{
	"fr": {
		"amount": {
			"Il te faut [[1]] pour [[2]].", "Pour [[2]], il faut [[1]].", "Compte [[1]] pour [[2]], chef.", "Ça fait [[1]] pour [[2]].",
			"Prends [[1]] pour [[2]].", "[[2]] demande [[1]].", "Le livre dit [[1]] pour [[2]].", "Voilà : [[1]] pour [[2]].", "Bien sûr, [[1]] pour [[2]].",
			"Il y a [[1]] dans [[2]].", "On met [[1]] dans [[2]].", "Pour faire [[2]], prends [[1]].",
		},
		"turned": {"[[2]], ça fait [[1]].", "[[2]] donne [[1]].", "[[2]], c'est [[1]], chef."},
		"step":   {"Pour [[2]] : [[1]].", "[[2]] : [[1]], chef.", "Le livre dit pour [[2]] : [[1]]."},
	},
	"de": {
		"amount": {
			"Du brauchst [[1]] für [[2]].", "Für [[2]] brauchst du [[1]].", "Das sind [[1]] für [[2]].", "Nimm [[1]] für [[2]].", "Wieg [[1]] für [[2]] ab.",
			"Laut Buch: [[1]] für [[2]].", "Klar, [[1]] für [[2]].", "Im Buch steht [[1]] für [[2]].", "Gern: [[2]] braucht [[1]].",
			"Chef, das macht [[1]] für [[2]].", "Bitte: [[1]] für [[2]].", "In [[2]] kommen [[1]].",
		},
		"turned": {"[[2]] sind [[1]].", "[[2]] ergibt [[1]].", "Das macht [[1]] für [[2]]."},
		"step":   {"Für [[2]]: [[1]].", "[[2]]: [[1]], Chef.", "Im Buch steht für [[2]]: [[1]]."},
	},
	"es": {
		"amount": {
			"Necesitas [[1]] para [[2]].", "Para [[2]] hacen falta [[1]].", "Son [[1]] para [[2]].", "Usa [[1]] para [[2]].", "Claro: [[1]] para [[2]].",
			"El libro dice [[1]] para [[2]].", "[[2]] lleva [[1]].", "Pon [[1]] en [[2]].", "Toma [[1]] para [[2]], chef.", "Aquí tienes: [[1]] para [[2]].",
			"Para hacer [[2]] necesitas [[1]].",
		},
		"turned": {"[[2]] son [[1]].", "[[2]] da [[1]]."},
		"step":   {"Para [[2]]: [[1]].", "El libro dice para [[2]]: [[1]]."},
	},
	"it": {
		"amount": {
			"Ti servono [[1]] per [[2]].", "Per [[2]] servono [[1]].", "Sono [[1]] per [[2]].", "Prendi [[1]] per [[2]].", "Certo: [[1]] per [[2]].",
			"Il libro dice [[1]] per [[2]].", "[[2]] vuole [[1]].", "Metti [[1]] in [[2]].", "Ecco: [[1]] per [[2]].", "Per fare [[2]] usa [[1]].", "In [[2]] vanno [[1]].",
		},
		"turned": {"[[2]] sono [[1]].", "[[2]] fa [[1]], chef."},
		"step":   {"Per [[2]]: [[1]].", "Il libro dice per [[2]]: [[1]]."},
	},
	"pt": {
		"amount": {
			"Precisas de [[1]] para [[2]].", "Para [[2]] precisas de [[1]].", "São [[1]] para [[2]].", "Usa [[1]] para [[2]].", "Claro: [[1]] para [[2]].",
			"O livro diz [[1]] para [[2]].", "[[2]] leva [[1]].", "Aqui está: [[1]] para [[2]].", "Põe [[1]] em [[2]].", "Para fazer [[2]], usa [[1]].",
			"Chef, são [[1]] para [[2]].",
		},
		"turned": {"[[2]] são [[1]].", "[[2]] dá [[1]]."},
		"step":   {"Para [[2]]: [[1]].", "O livro diz para [[2]]: [[1]]."},
	},
}

// openers and closers stand before and after a good draft, {d}.
var frames = map[string][]string{
	"en": {
		"{d}", "{d}", "{d}", "Sure! {d}", "Of course. {d}", "Here you go. {d}", "Hi chef! {d}", "Okay. {d}", "Right. {d}", "Got it. {d}",
		"{d} Good luck!", "{d} All yours.", "{d} Shout if you need me.", "{d} Just ask if anything is unclear.", "{d} Enjoy!", "{d} There you are.", "{d} Have fun with it.",
		"{d} Thanks for asking!", "{d} That's straight from the book.", "Good question! {d}", "Glad you asked. {d}", "{d} Happy to help.",
	},
	"fr": {"{d}", "{d}", "Bien sûr ! {d}", "{d} Bon courage !", "D'accord. {d}", "{d} Voilà !"},
	"de": {"{d}", "{d}", "Klar! {d}", "{d} Viel Erfolg!", "Gerne. {d}", "{d} Bitte sehr!"},
	"es": {"{d}", "{d}", "¡Claro! {d}", "{d} ¡Suerte!", "Vale. {d}", "{d} ¡Ánimo!"},
	"it": {"{d}", "{d}", "Certo! {d}", "{d} Buon lavoro!", "Va bene. {d}", "{d} Ecco!"},
	"pt": {"{d}", "{d}", "Claro! {d}", "{d} Bom trabalho!", "Com certeza. {d}", "{d} Aqui está!"},
}
