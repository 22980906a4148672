package discord

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path"
	"strings"
	"time"
	"unicode/utf8"
)

// A recipe may come as a file. It is checked by name and size before anything is
// fetched, fetched only from the platform's own file hosts, and read as data.

const (
	mostRecipe = 256 << 10 // bytes of a recipe's file
	mostFiles  = 5
	mostFetch  = 10 * time.Second // that one may take: its channel waits
)

// withFiles adds the recipes that a message brings as files to its text.
// complaint says what is wrong with one.
func (a *Adapter) withFiles(ctx context.Context, h *House, text string, files []attachment) (full, complaint string) {
	full = text
	n := 0
	for _, f := range files {
		if !recipeFile(f.Name) {
			continue
		}
		if n++; n > mostFiles {
			return full, a.say(h, "too many files", fmt.Sprint(mostFiles))
		}
		data, err := a.fetch(ctx, f)
		switch {
		case errors.Is(err, errTooLarge):
			return full, a.say(h, "file too large", f.Name)
		case err != nil:
			a.log.Warn("a file could not be fetched", "err", err)
			return full, a.say(h, "file unread", f.Name)
		case !utf8.Valid(data) || strings.Contains(string(data), "```"):
			return full, a.say(h, "file no text", f.Name)
		}
		full += "\n```yaml\n" + strings.TrimRight(string(data), "\n") + "\n```"
	}
	return full, ""
}

func recipeFile(name string) bool {
	switch strings.ToLower(path.Ext(name)) {
	case ".yaml", ".yml":
		return true
	}
	return false
}

var errTooLarge = errors.New("the file is too large")

// fileHosts are the platform's own.
var fileHosts = []string{"cdn.discordapp.com", "media.discordapp.net"}

// fetch reads an attachment.
func (a *Adapter) fetch(ctx context.Context, f attachment) ([]byte, error) {
	if f.Size <= 0 || f.Size > mostRecipe {
		return nil, errTooLarge
	}
	u, err := url.Parse(f.URL)
	if err != nil {
		return nil, errors.New("its address is none")
	}
	ok := false
	for _, h := range fileHosts {
		ok = ok || u.Scheme == "https" && u.Host == h
	}
	if api, err := url.Parse(a.o.API); err == nil && !ok { // a server of one's own keeps its files itself
		ok = u.Scheme == api.Scheme && u.Host == api.Host && !strings.HasPrefix(path.Clean(u.Path), path.Clean(api.Path)) // files, nothing that is asked for
	}
	if !ok || u.User != nil {
		return nil, errors.New("it lies on a host that is not the platform's")
	}
	within := mostFetch
	if d := a.o.Limits.Deadline; d > 0 {
		within = min(within, d)
	}
	ctx, cancel := context.WithTimeout(ctx, within)
	defer cancel()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, u.String(), nil)
	if err != nil {
		return nil, errors.New("its address is none")
	}
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	resp, err := client.Do(req)
	if err != nil {
		var e *url.Error
		if errors.As(err, &e) {
			err = e.Err // without the signed address
		}
		return nil, err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("HTTP %d", resp.StatusCode)
	}
	data, err := io.ReadAll(io.LimitReader(resp.Body, mostRecipe+1))
	if err != nil {
		return nil, err
	}
	if len(data) > mostRecipe {
		return nil, errTooLarge
	}
	return data, nil
}
