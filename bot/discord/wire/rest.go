package wire

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"

	"github.com/bwmarrin/discordgo"
)

// REST makes requests through the client library: its URLs, headers, types and
// errors, without its buckets and its waiting, which ignores contexts.
type REST struct {
	t     *Transport
	s     *discordgo.Session
	token string
}

// NewREST returns a client for the bot's token.
func NewREST(t *Transport, token string) (*REST, error) {
	s, err := discordgo.New("Bot " + token)
	if err != nil {
		return nil, err
	}
	s.Client = &http.Client{Transport: t, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	s.StateEnabled, s.ShouldRetryOnRateLimit, s.MaxRestRetries = false, false, 0
	s.LogLevel = -1 // the library's log may hold the token and what people write
	s.UserAgent = "DiscordBot (https://example.org/tamis, 1)"
	return &REST{t: t, s: s, token: token}, nil
}

// Do makes a request: path without base and version ("/channels/1/messages"), in
// as JSON, nil for none; the answer goes into out unless it is nil.
//
//   - Errors: [ErrToken], [ErrEdge], [ErrInvalid], [*discordgo.RESTError], the network's.
func (r *REST) Do(ctx context.Context, method, path string, in, out any) error {
	var body []byte
	if in != nil {
		var err error
		if body, err = json.Marshal(in); err != nil {
			return fmt.Errorf("%s %s: %w", method, patternOf(method, path), err)
		}
	}
	return r.do(ctx, method, path, "application/json", body, out)
}

// DoFiles is [REST.Do] with files beside the JSON.
func (r *REST) DoFiles(ctx context.Context, method, path string, in any, files []*discordgo.File, out any) error {
	if len(files) == 0 {
		return r.Do(ctx, method, path, in, out)
	}
	for _, f := range files { // a second try reads them anew
		if s, ok := f.Reader.(io.Seeker); ok {
			if _, err := s.Seek(0, io.SeekStart); err != nil {
				return err
			}
		}
	}
	contentType, body, err := discordgo.MultipartBodyWithJSON(in, files)
	if err != nil {
		return fmt.Errorf("%s %s: %w", method, patternOf(method, path), err)
	}
	return r.do(ctx, method, path, contentType, body, out)
}

func (r *REST) do(ctx context.Context, method, path, contentType string, body []byte, out any) error {
	bucket := discordgo.NewRatelimiter().LockBucket("") // of this request only: the transport keeps the limits
	data, err := r.s.RequestWithLockedBucket(method, strings.TrimSuffix(discordgo.EndpointAPI, "/")+path, contentType, body, bucket, 0, discordgo.WithContext(ctx))
	if err != nil {
		return fmt.Errorf("%s %s: %w", method, patternOf(method, path), tokenless(err))
	}
	if out == nil || len(data) == 0 {
		return nil
	}
	if err := json.Unmarshal(data, out); err != nil {
		return fmt.Errorf("%s %s: reading the answer: %w", method, patternOf(method, path), err)
	}
	return nil
}

// patternOf is a path for errors and logs: without ids and tokens.
func patternOf(method, path string) string {
	path, _, _ = strings.Cut(path, "?")
	return strings.TrimPrefix(routeOf(method, path).pattern, method+" ")
}

// tokenless cuts the URL, which may hold an interaction's token, out of an error.
func tokenless(err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		return u.Err
	}
	return err
}

// Code is the platform's own code of an error, 0 where it has none.
func Code(err error) int {
	var r *discordgo.RESTError
	if errors.As(err, &r) && r.Message != nil {
		return r.Message.Code
	}
	return 0
}

// Status is the HTTP status of an error, 0 where there was no answer.
func Status(err error) int {
	var r *discordgo.RESTError
	if errors.As(err, &r) && r.Response != nil {
		return r.Response.StatusCode
	}
	return 0
}
