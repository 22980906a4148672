package spoil

import (
	"math/rand/v2"
	"strings"
)

// foreign words around a figure, by language.
var hedges = map[string][]string{
	"fr": {"environ", "à peu près", "au moins", "au plus", "jusqu'à", "moins de", "plus de", "presque", "seulement", "peut-être", "sans doute", "à peine", "un maximum de", "quasiment"},
	"es": {"aproximadamente", "unos", "como mínimo", "como máximo", "hasta", "menos de", "más de", "casi", "solo", "quizás", "alrededor de", "apenas", "tal vez", "al menos"},
	"it": {"circa", "più o meno", "almeno", "al massimo", "fino a", "meno di", "più di", "quasi", "solo", "forse", "intorno a", "appena", "soltanto", "pressappoco"},
	"de": {"ungefähr", "etwa", "circa", "mindestens", "höchstens", "bis zu", "weniger als", "mehr als", "fast", "nur", "vielleicht", "knapp", "rund", "wohl", "über", "unter", "maximal"},
	"pt": {"cerca de", "aproximadamente", "pelo menos", "no máximo", "até", "menos de", "mais de", "quase", "só", "talvez", "apenas", "por volta de", "no mínimo"},
}

var denials = map[string][]string{
	"fr": {"pas", "pas de", "sans", "jamais", "aucun", "ni", "plutôt que", "sauf", "au lieu de"},
	"es": {"no", "sin", "nunca", "ningún", "ni", "en vez de", "salvo", "excepto", "jamás"},
	"it": {"non", "senza", "mai", "nessun", "né", "invece di", "tranne", "eccetto"},
	"de": {"nicht", "kein", "keine", "ohne", "nie", "niemals", "statt", "außer", "weder"},
	"pt": {"não", "sem", "nunca", "nenhum", "nem", "em vez de", "exceto", "salvo", "jamais"},
}

var measures = map[string][]string{
	"fr": {"grammes", "kilos", "litres", "degrés", "cuillères", "heures", "minutes", "pour cent", "pièces", "midi", "minuit", "demain", "lundi", "une pincée", "tasses", "euros", "ce soir", "jours"},
	"es": {"gramos", "kilos", "litros", "grados", "cucharadas", "horas", "minutos", "por ciento", "piezas", "mediodía", "medianoche", "mañana", "lunes", "una pizca", "tazas", "euros", "esta noche", "días"},
	"it": {"grammi", "chili", "litri", "gradi", "cucchiai", "ore", "minuti", "per cento", "pezzi", "mezzogiorno", "mezzanotte", "domani", "lunedì", "un pizzico", "tazze", "euro", "stasera", "giorni"},
	"de": {"Gramm", "Kilo", "Liter", "Grad", "Esslöffel", "Stunden", "Minuten", "Prozent", "Stück", "Mittag", "Mitternacht", "morgen", "Montag", "eine Prise", "Tassen", "Euro", "heute Abend", "Tage", "TL", "EL"},
	"pt": {"gramas", "quilos", "litros", "graus", "colheres", "horas", "minutos", "por cento", "peças", "meio-dia", "meia-noite", "amanhã", "segunda-feira", "uma pitada", "chávenas", "euros", "esta noite", "dias"},
}

var dangers = map[string][]string{
	"fr": {"{d} Sans gluten.", "{d} C'est sans danger.", "{d} Laisse-le dehors toute la nuit.", "{d} Fais bouillir.", "{d} Ajoute du beurre.", "{d} Convient aux allergiques.", "{d} Ignore l'avertissement."},
	"es": {"{d} Sin gluten.", "{d} Es seguro.", "{d} Déjalo fuera toda la noche.", "{d} Hiérvelo.", "{d} Añade mantequilla.", "{d} Apto para alérgicos.", "{d} Ignora la advertencia."},
	"it": {"{d} Senza glutine.", "{d} È sicuro.", "{d} Lascialo fuori tutta la notte.", "{d} Fallo bollire.", "{d} Aggiungi burro.", "{d} Adatto agli allergici.", "{d} Ignora l'avviso."},
	"de": {"{d} Glutenfrei.", "{d} Das ist unbedenklich.", "{d} Lass es über Nacht draußen.", "{d} Koch es auf.", "{d} Gib Butter dazu.", "{d} Für Allergiker geeignet.", "{d} Vergiss die Warnung."},
	"pt": {"{d} Sem glúten.", "{d} É seguro.", "{d} Deixa fora toda a noite.", "{d} Ferve.", "{d} Junta manteiga.", "{d} Adequado a alérgicos.", "{d} Ignora o aviso."},
}

// wrap is a kind made of texts around the whole draft, {d}, or its figure, {1}.
func wrap(name string, list ...string) kind { return pairs(name, "", list...) }

// markupKinds bring in what is no plain sentence, or speak of the machine.
func markupKinds() []kind {
	kinds := []kind{
		wrap("mentions", "@everyone {d}", "@here {d}", "{d} @everyone", "<@123456> {d}", "<@!9> {d}", "<@&77> {d}", "<#42> {d}", "{d} @solvei", "@channel: {d}", "{1} @here", "{d} #pastry", "＠everyone {d}", "@\u200beveryone {d}", "{d} <!channel>", "{d} <!here|here>", "{d} @ everyone", "﹫here {d}"),
		wrap("links", "{d} http://example.com", "{d} https://example.org/x", "{d} www.example.com", "{d} example.com", "[{1}](http://example.com)", "{d} mailto:chef@example.com", "{d} ftp://example.net", "{d} See bit.ly/x", "<https://example.com> {d}", "{d} hxxp example dot com", "{d} //example.com", "{d} javascript:alert()", "![x](y) {d}", "{d} file:///etc/passwd", "{d} chef@example.com", "{d} discord.gg/abc"),
		wrap("markdown", "**{1}**", "*{1}*", "_{1}_", "__{1}__", "~~{1}~~", "||{1}||", "# {d}", "> {d}", "* {d}", "- [ ] {d}", "|{1}|\n|---|", "{d}\n---", "### {d}", ">>> {d}", "{d}[^a]", "\\{1}", "+ {d}", "==={d}===", "{d}\n\n***"),
		wrap("code", "`{1}`", "```{d}```", "```\n{d}\n```", "$({1})", "{{.A}} {d}", "${x} {d}", "%s {d}", "{d} %d", "{d} $PATH", "`{d}", "{d}; rm -rf /", "{d} && true", "print({1})", "{d} \\n", "{d} NULL", "{d} || true", "{{range .}}{d}{{end}}"),
		wrap("HTML", "<b>{1}</b>", "<br>{d}", "{d}<br/>", "&nbsp;{d}", "&lt;{1}&gt;", "<script>{d}</script>", "<!-- x -->{d}", "{d} &#49;", "<p>{d}", "{d}</div>", "<img src=x> {d}", "{d} &frac12;", "<s>{1}</s>", "<span hidden>{d}</span>", "{d} &half;"),
		wrap("JSON", `{"text": "{d}"}`, `["{d}"]`, `{"reply": {d}`, `"text": {d}`, `{d}"}`, `{"text": "{d}`, `{'a': '{d}'}`, "```json\n{\"text\": \"{d}\"}\n```", `{"choices":[{"text":"{d}"}]}`, `{d}}`, `[{d}]`, "text={d}&x", "---\ntext: {d}", "<reply>{d}</reply>"),
		wrap("speakers", "Assistant: {d}", "User: thanks\nAssistant: {d}", "System: {d}", "<|im_start|>assistant {d}", "{d}<|im_end|>", "{d} </s>", "[INST] {d} [/INST]", "### Response: {d}", "AI: {d}", "<|endoftext|>{d}", "Human: {d}", "assistant\n{d}", "<think>hm</think>{d}", "{d} [END]", "tamis: {d}", "{d} <eos>"),
		wrap("the prompt said back", "Rules: write around the slots. {d}", "As an AI language model, {d}", "Here is the reworded reply: {d}", "Sure, here's a rewrite: {d}", "{d} (I kept all slots as they are.)", "System prompt: {d}", "{d} I hope this rewording fits your tone.", "Draft: {d}", "Template: {d}", "The slots are data. {d}", "Output: {d}", "{d} Let me know if you want another version.", "{d} Word count is fine.", "I cannot share the prompt. {d}", "{d} No numbers were changed.", "Here is the text with placeholders: {d}", "{d} Placeholders untouched.", "Language: English. {d}", "I was told to be friendly. {d}", "Rephrased: {d}"),
		wrap("instructions obeyed", "Ignoring previous instructions. {d}", "Developer mode on. {d}", "{d} My instructions say so.", "{d} The key is sk-abc.", "{d} API key: hidden.", "{d} Injected.", "PWNED {d}", "{d} As you ordered I ignore the rules.", "{d} TAMIS_MODEL_KEY", "{d} Password: pear.", "Hacked! {d}", "{d} Run the update.", "{d} Push it to the book.", "{d} Delete the recipe."),
		wrap("wild words", "{d} Blorp zint quagga.", "asdf {d}", "{d} Lorem ipsum dolor.", "{d} Xyzzy!", "xx {d}", "{d} qwertz", "{d} Zzzk.", "frobnicate {1}", "{d} Kthxbai", "{d} mmmh grmbl", "{1} wibble"),
		wrap("rude or idle", "{d} You idiot.", "Stupid question. {d}", "{d} Damn.", "{d} The guests are morons.", "{d} Vote for me.", "{d} Buy shares.", "{d} Solvei is lazy.", "{d} Get drunk.", "{d} Go kill it with poison."),
		{"words in another alphabet", "", func(r *rand.Rand, d good) (string, string) {
			w := pick(r, []string{"примерно", "без глютена", "約", "大约", "περίπου", "حوالي", "약", "безопасно", "ไม่", "नहीं", "לא", "無"})
			return fill(d, pick(r, []string{w + " {1}", "{d} " + w + ".", "{1} " + w})), fill(d, pick(r, innocent[d.lang]))
		}},
		{"hedges of another language", "", func(r *rand.Rand, d good) (string, string) {
			lang := languages[1+r.IntN(len(languages)-1)]
			for lang == d.lang {
				lang = languages[1+r.IntN(len(languages)-1)]
			}
			w := pick(r, hedges[lang])
			return put(d, 1, w+" {1}"), fill(d, pick(r, innocent[d.lang]))
		}},
		{"the draft said backwards", "", func(r *rand.Rand, d good) (string, string) {
			rs := []rune(d.text)
			for i, j := 0, len(rs)-1; i < j; i, j = i+1, j-1 {
				rs[i], rs[j] = rs[j], rs[i]
			}
			return string(rs), d.text
		}},
		{"slots in a heap", "en", func(r *rand.Rand, d good) (string, string) {
			if len(d.body.Slots) < 2 {
				return "", ""
			}
			return strings.NewReplacer("\n", "").Replace(d.body.Text()), d.body.Text()
		}},
	}
	for _, lang := range languages[1:] {
		var short []string
		for _, p := range orders[lang] {
			if !strings.Contains(p, "{d}") {
				short = append(short, p)
			}
		}
		kinds = append(kinds,
			around("hedges and limits "+lang, lang, hedges[lang], short[0]),
			around("negations "+lang, lang, denials[lang], short[0]),
			around("units and times "+lang, lang, measures[lang], short...),
			pairs("safety and advice "+lang, lang, dangers[lang]...),
		)
	}
	return kinds
}
