// Package yamldoc reads the YAML files of a house book with care: bytes from
// anybody's hand flow in, a small checked tree of text, lists and mappings with
// line and column, and all faults of the file's form, flow out.
//
// Nothing is typed here: `on`, `yes`, `1.20` and `12:00` stay the text that the
// cook wrote. Anchors, aliases, tags, merge keys, duplicate keys and second
// documents are faults, so a tree is never larger than its file.
package yamldoc
