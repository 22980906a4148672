package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"unicode/utf8"
)

const (
	logFile  = "log"
	lockFile = "lock"
	// writtenFile holds the number of the last commit that is in the folder: with it a
	// hand edit back to the version before is told from a commit that was cut off.
	writtenFile = "written"
	dataDir     = ".tamis"
)

// LogError is a line of the log that is not what was written. Nothing is
// written to such a log, and nothing in it is changed.
type LogError struct {
	Line int // from 1
	Why  string
}

// Error tells the line and what is wrong with it.
func (e *LogError) Error() string {
	return fmt.Sprintf("the log of commits is damaged at line %d: %s", e.Line, e.Why)
}

// text is the content of a file.
func (f *FileChange) text() string {
	if f.Bytes != nil {
		return string(f.Bytes)
	}
	return f.Content
}

// Text is the content of a file, whichever way it is kept.
func (f *FileChange) Text() string { return f.text() }

// change makes the FileChange that writes content; bytes that are no text are kept as bytes.
func change(path, content string) FileChange {
	if utf8.ValidString(content) {
		return FileChange{Path: path, Content: content}
	}
	return FileChange{Path: path, Bytes: []byte(content)}
}

// line is e as it stands in the log, with its end.
func (e *Entry) line() ([]byte, error) {
	var b bytes.Buffer
	j := json.NewEncoder(&b)
	j.SetEscapeHTML(false)
	if err := j.Encode(e); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// seal sets e's own hash: that of its line without it.
func (e *Entry) seal() error {
	e.Hash = ""
	line, err := e.line()
	if err != nil {
		return err
	}
	sum := sha256.Sum256(line)
	e.Hash = hex.EncodeToString(sum[:])
	return nil
}

// readLog reads the lines of a log.
//
//   - good is the length of all whole lines; what follows was never acknowledged.
//   - Errors: [*LogError]; the entries before it are returned too.
func readLog(data []byte) (entries []Entry, good int, err error) {
	for n := 1; good < len(data); n++ {
		end := bytes.IndexByte(data[good:], '\n')
		if end < 0 {
			break
		}
		line := data[good : good+end+1]
		var before Entry
		if len(entries) > 0 {
			before = entries[len(entries)-1]
		}
		e, why := readEntry(line, before)
		if why != "" {
			return entries, good, &LogError{n, why}
		}
		entries = append(entries, e)
		good += end + 1
	}
	return entries, good, nil
}

// readEntry reads one line that follows before; why tells what is wrong with it.
func readEntry(line []byte, before Entry) (e Entry, why string) {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(&e); err != nil {
		return e, "it is no commit (" + err.Error() + ")"
	}
	sealed := e
	if err := sealed.seal(); err != nil {
		return e, err.Error()
	}
	again, err := e.line()
	switch {
	case err != nil:
		return e, err.Error()
	case sealed.Hash != e.Hash, !bytes.Equal(again, line):
		return e, "its bytes are not those that were written"
	case e.Seq != before.Seq+1:
		return e, fmt.Sprintf("commit %d stands where %d was to come", e.Seq, before.Seq+1)
	case e.Prev != before.Hash:
		return e, "it does not follow the commit before it"
	}
	return e, ""
}
