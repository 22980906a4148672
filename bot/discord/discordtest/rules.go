package discordtest

import (
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What the platform's documentation asks and its specification does not say in
// a form that a validator checks. Figures: Discord's documentation repository
// discord/discord-api-docs, commit c98d64bc233833839cf0d8d369e81b77f21ade60
// of 2026-08-06; the page stands beside each rule.

const (
	flagSuppressEmbeds = 1 << 2
	flagEphemeral      = 1 << 6
	flagLoading        = 1 << 7
	flagSilent         = 1 << 12
	flagComponentsV2   = 1 << 15
)

const (
	maxContent   = 2000     // resources/message, Create Message
	maxEmbedSum  = 6000     // resources/message, Embed Limits
	maxRows      = 5        // components/reference, Legacy
	maxV2        = 40       // components/reference
	maxModal     = 5        // interactions/receiving-and-responding, Modal
	maxNonce     = 25       // resources/message, Create Message
	maxFiles     = 10       // openapi.json, attachments
	maxFile      = 10 << 20 // reference, Uploading Files
	maxWhole     = 25 << 20 // resources/message, Create Message
	maxCommand   = 8000     // interactions/application-commands, Slash Commands
	maxListedIDs = 100      // resources/message, Allowed Mentions
)

// messageKind is where a message body comes from.
type messageKind int

const (
	kindCreate messageKind = iota
	kindEdit
	kindReply    // first answer to an interaction
	kindUpdate   // changes the message that a component sits on
	kindFollowup // later message of an interaction
	kindWebEdit  // change of an interaction's message
)

// checkMessage holds a message body against the documentation.
func checkMessage(kind messageKind, body map[string]any, files []File) error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	content := str(body["content"])
	if n := utf8.RuneCountInString(content); n > maxContent {
		bad("content has %d characters, %d at most", n, maxContent)
	}
	embeds := list(body["embeds"])
	if len(embeds) > 10 {
		bad("%d embeds, 10 at most", len(embeds))
	}
	sum := 0
	for _, e := range embeds {
		sum += embedSize(obj(e))
	}
	if sum > maxEmbedSum {
		bad("embeds have %d characters together, %d at most", sum, maxEmbedSum)
	}
	flags := integer(body["flags"])
	comps := list(body["components"])
	count, ids := 0, map[string]bool{}
	walkComponents(comps, func(c map[string]any) {
		count++
		if id := str(c["custom_id"]); id != "" {
			if ids[id] {
				bad("custom_id %q twice in one message", id)
			}
			ids[id] = true
		}
	})
	if flags&flagComponentsV2 != 0 {
		if content != "" || len(embeds) > 0 || body["poll"] != nil || len(list(body["sticker_ids"])) > 0 {
			bad("IS_COMPONENTS_V2 admits components only, no content, embeds, stickers or poll")
		}
		if count > maxV2 {
			bad("%d components, %d at most", count, maxV2)
		}
	} else {
		if len(comps) > maxRows {
			bad("%d action rows, %d at most", len(comps), maxRows)
		}
		for _, c := range comps {
			if t := integer(obj(c)["type"]); t != 1 && kind != kindEdit && kind != kindWebEdit && kind != kindUpdate {
				bad("a component of type %d outside an action row needs IS_COMPONENTS_V2", t)
			}
		}
	}
	for _, c := range comps {
		row := obj(c)
		if integer(row["type"]) != 1 {
			continue
		}
		buttons, selects := 0, 0
		for _, in := range list(row["components"]) {
			switch integer(obj(in)["type"]) {
			case 2:
				buttons++
			case 3, 5, 6, 7, 8:
				selects++
			}
		}
		if buttons > 5 || selects > 1 || buttons > 0 && selects > 0 || buttons+selects == 0 {
			bad("an action row holds 1 to 5 buttons or one select, not %d and %d", buttons, selects)
		}
	}
	ephemeral := flags&flagEphemeral != 0
	allowed := int64(flagSuppressEmbeds | flagComponentsV2)
	switch kind {
	case kindCreate:
		allowed |= flagSilent
		if ephemeral {
			bad("EPHEMERAL is for answers to interactions only")
		}
	case kindReply, kindFollowup:
		allowed |= flagSilent | flagEphemeral
	case kindEdit, kindWebEdit, kindUpdate:
		if ephemeral {
			bad("an edit can't change whether a message is ephemeral")
		}
	}
	if rest := flags &^ allowed &^ flagEphemeral; rest != 0 {
		bad("flags %d may not be set here", rest)
	}
	errs = append(errs, checkMentions(body)...)
	errs = append(errs, checkNonce(body)...)
	errs = append(errs, checkFiles(body, files)...)
	return errors.Join(errs...)
}

func embedSize(e map[string]any) int {
	n := 0
	add := func(v any) { n += utf8.RuneCountInString(strings.TrimSpace(str(v))) }
	add(e["title"])
	add(e["description"])
	add(obj(e["footer"])["text"])
	add(obj(e["author"])["name"])
	for _, f := range list(e["fields"]) {
		add(obj(f)["name"])
		add(obj(f)["value"])
	}
	return n
}

// walkComponents visits every component, however deep.
func walkComponents(comps []any, visit func(map[string]any)) {
	for _, c := range comps {
		m := obj(c)
		if m == nil {
			continue
		}
		visit(m)
		walkComponents(list(m["components"]), visit)
		for _, k := range []string{"accessory", "component"} {
			if a := obj(m[k]); a != nil {
				walkComponents([]any{a}, visit)
			}
		}
	}
}

// checkMentions: resources/message, Allowed Mentions Object.
func checkMentions(body map[string]any) []error {
	am := obj(body["allowed_mentions"])
	if am == nil {
		return nil
	}
	var errs []error
	parse := list(am["parse"])
	for _, k := range []string{"users", "roles"} {
		ids := list(am[k])
		if len(ids) > maxListedIDs {
			errs = append(errs, fmt.Errorf("allowed_mentions.%s lists %d ids, %d at most", k, len(ids), maxListedIDs))
		}
		if len(ids) > 0 && slices.Contains(parse, any(k)) {
			errs = append(errs, fmt.Errorf("allowed_mentions parses %s and lists them as well", k))
		}
	}
	return errs
}

func checkNonce(body map[string]any) []error {
	n, enforced := body["nonce"], body["enforce_nonce"] == true
	if enforced && n == nil {
		return []error{errors.New("enforce_nonce without a nonce")}
	}
	if utf8.RuneCountInString(scalar(n)) > maxNonce {
		return []error{fmt.Errorf("nonce longer than %d characters", maxNonce)}
	}
	return nil
}

var partName = regexp.MustCompile(`^files\[(\d{1,3})\]$`)

// checkFiles: reference, Uploading Files and Editing Message Attachments.
func checkFiles(body map[string]any, files []File) []error {
	var errs []error
	if len(files) > maxFiles {
		errs = append(errs, fmt.Errorf("%d files, %d at most", len(files), maxFiles))
	}
	seen, total := map[string]bool{}, 0
	for _, f := range files {
		m := partName.FindStringSubmatch(f.part)
		switch {
		case m == nil:
			errs = append(errs, fmt.Errorf("a file part is called %q, not files[n]", f.part))
		case seen[m[1]]:
			errs = append(errs, fmt.Errorf("two file parts are called %q", f.part))
		default:
			seen[m[1]] = true
		}
		if f.Name == "" {
			errs = append(errs, fmt.Errorf("part %q has no filename", f.part))
		}
		if len(f.Data) > maxFile {
			errs = append(errs, fmt.Errorf("file %q has %d bytes, %d at most", f.Name, len(f.Data), maxFile))
		}
		total += len(f.Data)
	}
	if total > maxWhole {
		errs = append(errs, fmt.Errorf("files have %d bytes together, %d at most", total, maxWhole))
	}
	for _, a := range list(body["attachments"]) {
		if id := scalar(obj(a)["id"]); len(id) < 4 && !seen[id] {
			errs = append(errs, fmt.Errorf("attachments names file %s, which was not sent", id))
		}
	}
	return errs
}

// checkModal: interactions/receiving-and-responding, Modal.
func checkModal(data map[string]any) error {
	var errs []error
	comps := list(data["components"])
	if len(comps) < 1 || len(comps) > maxModal {
		errs = append(errs, fmt.Errorf("a modal holds 1 to %d components, not %d", maxModal, len(comps)))
	}
	ids := map[string]bool{}
	walkComponents(comps, func(c map[string]any) {
		if id := str(c["custom_id"]); id != "" {
			if ids[id] {
				errs = append(errs, fmt.Errorf("custom_id %q twice in one modal", id))
			}
			ids[id] = true
		}
	})
	for _, c := range comps {
		switch integer(obj(c)["type"]) {
		case 1:
			if len(list(obj(c)["components"])) != 1 {
				errs = append(errs, errors.New("an action row of a modal holds one text input"))
			}
		case 10, 18:
		default:
			errs = append(errs, fmt.Errorf("a modal holds no component of type %v at its top", obj(c)["type"]))
		}
	}
	return errors.Join(errs...)
}

var commandName = regexp.MustCompile(`^[-_'\p{L}\p{N}\p{Devanagari}\p{Thai}]{1,32}$`)

// checkCommands: interactions/application-commands, Naming and Limits.
func checkCommands(cmds []any, guild bool) error {
	var errs []error
	bad := func(format string, args ...any) { errs = append(errs, fmt.Errorf(format, args...)) }
	count, names := map[int64]int{}, map[string]bool{}
	for _, c := range cmds {
		m := obj(c)
		kind := integer(m["type"])
		if kind == 0 {
			kind = 1
		}
		count[kind]++
		name := str(m["name"])
		key := fmt.Sprint(kind, " ", name)
		if names[key] {
			bad("command %q twice", name)
		}
		names[key] = true
		if kind == 1 {
			checkSlashName(name, bad)
			if str(m["description"]) == "" {
				bad("command %q has no description", name)
			}
		} else {
			if str(m["description"]) != "" {
				bad("the entry %q on a user or message takes no description", name)
			}
			if len(list(m["options"])) > 0 {
				bad("the entry %q on a user or message takes no options", name)
			}
		}
		if guild && (m["contexts"] != nil || m["integration_types"] != nil) {
			bad("command %q: contexts and integration_types are for global commands", name)
		}
		if n := commandSize(m); n > maxCommand {
			bad("command %q has %d characters in all, %d at most", name, n, maxCommand)
		}
		checkOptions(name, list(m["options"]), 0, bad)
	}
	for kind, most := range map[int64]int{1: 100, 2: 15, 3: 15, 4: 1} {
		if count[kind] > most {
			bad("%d commands of type %d, %d at most", count[kind], kind, most)
		}
	}
	return errors.Join(errs...)
}

func checkSlashName(name string, bad func(string, ...any)) {
	if !commandName.MatchString(name) || strings.ContainsFunc(name, func(r rune) bool { return unicode.ToLower(r) != r }) {
		bad("%q is no name for a command or an option", name)
	}
}

func checkOptions(of string, options []any, depth int, bad func(string, ...any)) {
	optional, subs := false, 0
	names := map[string]bool{}
	for _, o := range options {
		m := obj(o)
		name := str(m["name"])
		checkSlashName(name, bad)
		if names[name] {
			bad("option %q twice in %q", name, of)
		}
		names[name] = true
		kind := integer(m["type"])
		if kind <= 2 {
			subs++
			if kind == 2 && depth > 0 || depth > 1 {
				bad("%q nests deeper than command, group, subcommand", name)
			}
			checkOptions(name, list(m["options"]), depth+1, bad)
			continue
		}
		if m["required"] == true && optional {
			bad("option %q of %q is required and stands after an optional one", name, of)
		}
		optional = optional || m["required"] != true
		if m["autocomplete"] == true && len(list(m["choices"])) > 0 {
			bad("option %q has autocomplete and choices", name)
		}
	}
	if subs > 0 && subs != len(options) {
		bad("%q mixes subcommands and options", of)
	}
}

func commandSize(m map[string]any) int {
	n := utf8.RuneCountInString(str(m["name"])) + utf8.RuneCountInString(str(m["description"]))
	for _, o := range list(m["options"]) {
		n += commandSize(obj(o))
	}
	for _, c := range list(m["choices"]) {
		n += utf8.RuneCountInString(str(obj(c)["name"])) + utf8.RuneCountInString(scalar(obj(c)["value"]))
	}
	return n
}

// Small readers of decoded JSON: what is absent or of another type is empty.

func obj(v any) map[string]any { m, _ := v.(map[string]any); return m }
func list(v any) []any         { l, _ := v.([]any); return l }
func str(v any) string         { s, _ := v.(string); return s }

func integer(v any) int64 {
	switch v := v.(type) {
	case json.Number:
		n, _ := v.Int64()
		return n
	case int:
		return int64(v)
	case int64:
		return v
	case float64:
		return int64(v)
	}
	return 0
}

// scalar is a string or a number as text; "" for everything else.
func scalar(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case json.Number:
		return v.String()
	case int, int64, float64, bool:
		return fmt.Sprint(v)
	}
	return ""
}
