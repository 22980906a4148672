package spoil

import "math/rand/v2"

// later are good drafts written after the check was mended for those above, to see
// what it says of sentences nobody mended it for.
var later = map[string][]string{
	"amount": {
		"For [[2]], you'll need [[1]].", "You'll need [[1]] to make [[2]].", "[[2]] will need [[1]].", "[[2]] requires [[1]].",
		"It takes [[1]] to make [[2]].", "[[1]] is needed for [[2]].", "The amount for [[2]] is [[1]].", "You're going to need [[1]] for [[2]].",
		"For your [[2]], use [[1]].", "We'll need [[1]] for [[2]].", "Use [[1]] for [[2]], please.", "Measure out [[1]] for [[2]].",
		"Chef, [[2]] needs [[1]].", "Alright, [[2]] calls for [[1]].", "You got it: [[1]] for [[2]].", "Yes chef, [[1]] for [[2]].",
		"Hello! For [[2]] you need [[1]].", "[[2]] uses [[1]].", "The recipe calls for [[1]] for [[2]].", "[[1]] goes in [[2]].",
		"Here's what you need for [[2]]: [[1]].", "What you need: [[1]] for [[2]].", "You should use [[1]] for [[2]].",
		"Please use [[1]] for [[2]].", "Absolutely, [[1]] for [[2]].", "That'll be [[1]] for [[2]].", "So that's [[1]] for [[2]] then.",
		"The answer for [[2]] is [[1]].", "Prepare [[1]] for [[2]].", "Hey chef, it's [[1]] for [[2]].", "That’s [[1]] for [[2]].",
		"You’ll need [[1]] for [[2]].", "[[1]]\nfor [[2]]", "  You need  [[1]] for [[2]]. \n", "[[1]]. [[2]]. Done.",
		"Great question, chef! [[2]] takes [[1]] — enjoy!", "Certainly. [[2]] requires [[1]].", "Aye chef, [[1]] for [[2]]!",
		"Heard, chef: [[1]] for [[2]].", "Oui chef: [[1]] for [[2]].", "Right then, [[1]] for [[2]].", "Sure, chef, [[2]] takes [[1]].",
		"Good morning! [[1]] for [[2]].", "Of course, chef: [[2]] needs [[1]].", "YOU NEED [[1]] FOR [[2]].", "you need [[1]] for [[2]]",
		"For [[2]], weigh [[1]].", "[[2]] gets [[1]].", "Okay, [[1]] for [[2]]. Ready when you are!",
		"[[1]] for [[2]]. Let me know if you need anything else.", "[[2]] needs [[1]], chef. You've got this!",
		"It's [[1]] that you need for [[2]].",
	},
	"turned": {
		"[[2]] is equivalent to [[1]].", "[[2]] will be [[1]].", "You get [[1]] from [[2]].", "[[2]] is [[1]], chef.", "That's [[2]], so [[1]].",
		"If you have [[2]], that's [[1]].", "Your [[2]] is [[1]].",
	},
	"step": {
		"For the [[2]]: [[1]].", "Chef, [[2]]: [[1]].", "According to the book, [[2]]: [[1]].", "[[1]] for the [[2]], chef.",
		"Here's the answer for [[2]]: [[1]].", "The book has this for [[2]]: [[1]].", "[[2]] is at [[1]].", "The answer for [[2]]: [[1]].",
		"You want [[1]] for [[2]].",
	},
	"cost": {
		"The cost of [[2]] is [[1]].", "You'll pay [[1]] for [[2]].", "[[2]] is at [[1]].", "That makes [[1]] for [[2]].",
	},
	"two": {
		"Here's what I have: [[1]] and [[2]].", "It's [[1]], with [[2]].", "You get [[1]] and [[2]].", "The answer: [[1]], [[2]].",
		"We have [[1]] and [[2]].",
	},
	"pair": {
		"You'll need [[1]] and [[2]] for [[3]].", "[[3]] needs [[1]] and [[2]].", "Use [[1]] and [[2]] for [[3]].",
		"To make [[3]], take [[1]] and [[2]].",
	},
	"sized": {
		"For [[2]], that's [[3]], so use [[1]].", "You'll need [[1]] for [[2]] ([[3]]).", "[[2]] means [[3]]: [[1]].",
		"[[1]] for [[2]], which is [[3]].",
	},
	"alone": {
		"You get [[1]].", "It comes to [[1]].", "The answer is [[1]], chef.", "We're at [[1]].",
	},
}

// laterOthers are the same in the other languages.
var laterOthers = map[string]map[string][]string{
	"fr": {"amount": {
		"Vous avez besoin de [[1]] pour [[2]].", "Il vous faut [[1]] pour [[2]].", "Utilisez [[1]] pour [[2]].", "Tu as besoin de [[1]] pour [[2]].",
		"Pour [[2]], utilise [[1]].", "Pour [[2]], c'est [[1]].", "La recette de [[2]] demande [[1]].", "Il nous faut [[1]] pour [[2]], chef.",
		"Voilà\u00a0: [[1]] pour [[2]].", "Bien sûr\u202f! [[1]] pour [[2]].", "Il faut [[1]] pour [[2]].", "C’est [[1]] pour [[2]].",
	}},
	"de": {"amount": {
		"Sie brauchen [[1]] für [[2]].", "Ihr braucht [[1]] für [[2]].", "Für [[2]] benötigst du [[1]].", "Für [[2]] nimmst du [[1]].",
		"Wir brauchen [[1]] für [[2]].", "Es sind [[1]] für [[2]].", "[[1]] für [[2]], Chef.", "Verwende [[1]] für [[2]].",
		"Du benötigst [[1]] für [[2]].", "Für [[2]]: [[1]].",
	}},
	"es": {"amount": {
		"Se necesitan [[1]] para [[2]].", "Vas a necesitar [[1]] para [[2]].", "Para [[2]] usa [[1]].", "Necesitamos [[1]] para [[2]].",
		"La receta de [[2]] lleva [[1]].", "[[2]] necesita [[1]].", "Para [[2]] necesitas [[1]].",
	}},
	"it": {"amount": {
		"Hai bisogno di [[1]] per [[2]].", "Servono [[1]] per [[2]].", "Usa [[1]] per [[2]].", "La ricetta di [[2]] vuole [[1]].",
		"Ci vogliono [[1]] per [[2]].", "Per [[2]] prendi [[1]], chef.", "[[2]] richiede [[1]].",
	}},
	"pt": {"amount": {
		"Você precisa de [[1]] para [[2]].", "Vais precisar de [[1]] para [[2]].", "Para [[2]], usa [[1]].", "A receita de [[2]] leva [[1]].",
		"São precisos [[1]] para [[2]].", "Usa [[1]] para [[2]], chef.", "[[2]] precisa de [[1]].",
	}},
}

// laterKinds were written like later, against the mended check.
func laterKinds() []kind {
	// whole is a kind of whole sentences about an amount.
	whole := func(name, lang string, twins []string, bad ...string) kind {
		return kind{name, lang, func(r *rand.Rand, d good) (string, string) {
			if d.shape != "amount" {
				return "", ""
			}
			return pick(r, bad), pick(r, twins)
		}}
	}
	en := []string{"[[2]] takes [[1]].", "You need [[1]] for [[2]].", "[[2]] needs [[1]].", "Use [[1]] for [[2]]."}
	return []kind{
		whole("verbs that leave it open", "en", en, "[[2]] can take [[1]].", "[[2]] can have [[1]].", "[[2]] could use [[1]].", "[[2]] can use [[1]].", "[[1]] should do for [[2]].", "[[2]] might take [[1]].", "[[2]] may need [[1]].", "[[2]] would take [[1]].", "[[2]] used to take [[1]].", "[[2]] did take [[1]].", "[[2]] will have had [[1]].", "[[2]] tends to take [[1]].", "[[2]] seems to need [[1]].", "[[2]] just takes [[1]].", "[[2]] just needs [[1]].", "[[2]] still needs [[1]].", "[[2]] once took [[1]]."),
		whole("verbs that turn it round", "en", en, "[[2]] miss [[1]].", "[[2]] misses [[1]].", "Miss [[1]] for [[2]].", "[[2]] lacks [[1]].", "[[2]] loses [[1]].", "[[2]] gives [[1]] back.", "Pull [[1]] from [[2]].", "Spare [[1]] for [[2]].", "Save [[1]] from [[2]].", "[[2]] drops [[1]].", "[[2]] beats [[1]].", "[[2]] hates [[1]].", "Hold [[1]] for [[2]].", "Keep [[1]] from [[2]].", "Swap [[1]] for [[2]].", "Trade [[1]] for [[2]].", "Change [[1]] for [[2]].", "Skip [[1]] for [[2]].", "Forget [[1]] for [[2]].", "Wait with [[1]] for [[2]].", "Split [[1]] for [[2]].", "Share [[1]] for [[2]].", "Halve [[1]] for [[2]].", "[[2]] bans [[1]].", "Throw out [[1]] for [[2]].", "Return [[1]] for [[2]]."),
		whole("verbs that are foods", "it", []string{"[[2]] vuole [[1]].", "Ti servono [[1]] per [[2]]."}, "[[2]] sale [[1]].", "Sale [[1]] per [[2]].", "[[2]] burro [[1]].", "[[2]] pesce [[1]].", "[[2]] pere [[1]].", "[[2]] noci [[1]].", "[[2]] pane [[1]]."),
		whole("adverbs that give way", "en", en, "Basically [[1]] for [[2]].", "[[2]] basically needs [[1]].", "Normally [[1]] for [[2]].", "Usually [[1]] for [[2]].", "[[2]] mostly needs [[1]].", "Largely [[1]] for [[2]].", "Typically [[2]] takes [[1]].", "Officially [[1]] for [[2]].", "[[2]] ideally takes [[1]].", "Generally [[1]] for [[2]].", "On average [[1]] for [[2]].", "Give or take, [[1]] for [[2]].", "[[1]] for [[2]], basically.", "[[1]] for [[2]], usually.", "[[1]] for [[2]], in principle.", "[[1]] for [[2]], technically.", "[[1]] for [[2]], ideally.", "[[1]] for [[2]], as a rule.", "[[1]] for [[2]], tops.", "Hmm, [[1]] for [[2]]?"),
		pairs("orders with an answer that is right", "en", "{d} Cool it! | {d} Cool!", "{d} Quickly! | {d} Quick answer!", "{d} Hurry! | {d} Hurray!", "{d} Slow down. | {d} Sit down.", "{d} Stop! | {d} Super!", "{d} Start over. | {d} Right then.", "{d} Wash it. | {d} Watch me.", "{d} Chill! | {d} Cheers!", "{d} Heat it. | {d} Here it is.", "{d} Burn it. | {d} Done.", "{d} Double it. | {d} Do it.", "{d} Toss it. | {d} Thanks.", "{d} Cut it. | {d} Got it?", "{d} Sell it. | {d} See it?", "{d} Bin it. | {d} Bingo!", "{d} Shake it. | {d} Take it."),
		whole("nur und mehr", "de", []string{"Du brauchst [[1]] für [[2]].", "Für [[2]] brauchst du [[1]]."}, "Du brauchst gerade [[1]] für [[2]].", "Du brauchst gut und gern [[1]] für [[2]].", "Du brauchst bloß [[1]] für [[2]].", "Du brauchst schon [[1]] für [[2]].", "Du brauchst lediglich [[1]] für [[2]].", "Du brauchst locker [[1]] für [[2]].", "Du bräuchtest [[1]] für [[2]].", "Du brauchst keinesfalls [[1]] für [[2]].", "[[2]] reduziert auf [[1]].", "Reduziere auf [[1]] für [[2]].", "Du brauchst wieder [[1]] für [[2]].", "Du brauchst weitere [[1]] für [[2]].", "Du brauchst zusätzlich [[1]] für [[2]].", "Du brauchst insgesamt nie [[1]] für [[2]].", "Miss [[1]] nicht ab für [[2]].", "Lass [[1]] weg für [[2]].", "Du könntest [[1]] für [[2]] brauchen."),
		whole("ne que et davantage", "fr", []string{"Il te faut [[1]] pour [[2]].", "Pour [[2]], il faut [[1]]."}, "Il ne te faut que [[1]] pour [[2]].", "Il te faudrait [[1]] pour [[2]].", "Il te faut encore [[1]] pour [[2]].", "Il te faut juste [[1]] pour [[2]].", "Il te faut davantage que [[1]] pour [[2]].", "Il te faut bien [[1]] pour [[2]].", "Enlève [[1]] pour [[2]].", "Retire [[1]] de [[2]].", "Il manque [[1]] pour [[2]].", "Évite [[1]] pour [[2]].", "Il te fallait [[1]] pour [[2]].", "Il te faut [[1]] de plus pour [[2]].", "Il te faut [[1]] de moins pour [[2]].", "Il te faut [[1]] ou rien pour [[2]].", "Il te faut tantôt [[1]] pour [[2]]."),
		whole("no más que", "es", []string{"Necesitas [[1]] para [[2]].", "Para [[2]] hacen falta [[1]]."}, "No necesitas más que [[1]] para [[2]].", "Necesitarías [[1]] para [[2]].", "Necesitas otros [[1]] para [[2]].", "Quita [[1]] de [[2]].", "Sobran [[1]] para [[2]].", "Faltan [[1]] para [[2]].", "Necesitas [[1]] de más para [[2]].", "Necesitas bien [[1]] para [[2]].", "Evita [[1]] para [[2]].", "Necesitas sólo [[1]] para [[2]].", "Necesitas nomás [[1]] para [[2]].", "Necesitabas [[1]] para [[2]].", "Necesitas unos buenos [[1]] para [[2]].", "Necesitas [[1]] o así para [[2]]."),
		whole("ancora e mica", "it", []string{"Ti servono [[1]] per [[2]].", "Per [[2]] servono [[1]]."}, "Ti servirebbero [[1]] per [[2]].", "Ti servono ancora [[1]] per [[2]].", "Ti servono altri [[1]] per [[2]].", "Non ti servono che [[1]] per [[2]].", "Togli [[1]] da [[2]].", "Mancano [[1]] per [[2]].", "Bastano [[1]] scarsi per [[2]].", "Ti servono mica [[1]] per [[2]].", "Ti servivano [[1]] per [[2]].", "Evita [[1]] per [[2]].", "Ti servono [[1]] abbondanti per [[2]].", "Ti servono [[1]] in più per [[2]].", "Ti servono un [[1]] o giù di lì per [[2]].", "Ti servono nemmeno [[1]] per [[2]]."),
		whole("só mais um pouco", "pt", []string{"Precisas de [[1]] para [[2]].", "Para [[2]] precisas de [[1]]."}, "Precisas de mais [[1]] para [[2]].", "Precisas só de [[1]] para [[2]].", "Precisarias de [[1]] para [[2]].", "Tira [[1]] de [[2]].", "Faltam [[1]] para [[2]].", "Sobram [[1]] para [[2]].", "Precisas de uns [[1]] para [[2]].", "Precisas ainda de [[1]] para [[2]].", "Precisas de [[1]] a mais para [[2]].", "Evita [[1]] para [[2]].", "Precisavas de [[1]] para [[2]].", "Precisas de [[1]] só para [[2]].", "Precisas de bem [[1]] para [[2]].", "Precisas de [[1]] ou assim para [[2]].", "São só [[1]] para [[2]]."),
	}
}
