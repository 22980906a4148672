package discord

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"

	"github.com/bwmarrin/discordgo"
	"go.etcd.io/bbolt"
)

// A command, button or form that was acknowledged as slow shows its asker that it is
// being worked on, until its answer comes or its token ends. It is kept from before
// the acknowledgement, so that a start can put an end to it.

// tokenLife is how long an interaction can be answered.
const tokenLife = 15 * time.Minute

// underway is an interaction that was acknowledged and is not answered.
type underway struct {
	App     string   `json:"a"`
	Token   string   `json:"t"`
	Channel string   `json:"c"`
	Guild   string   `json:"g,omitempty"`
	Who     string   `json:"u"`
	Private bool     `json:"p,omitempty"`
	Parts   []sealed `json:"s,omitempty"` // the answer, once there is one
	Shown   bool     `json:"f,omitempty"` // its first part stands there
}

var bucketUnderway = []byte("underway") // interaction id: underway

// begin keeps an interaction; it is durable when begin returns.
func (m *memory) begin(id uint64, u underway) error {
	data, err := json.Marshal(u)
	if err != nil {
		return err
	}
	return m.durably(func(tx *bbolt.Tx) error { return tx.Bucket(bucketUnderway).Put(key(id), data) })
}

func (m *memory) ended(id uint64) error {
	return m.durably(func(tx *bbolt.Tx) error { return tx.Bucket(bucketUnderway).Delete(key(id)) })
}

func (m *memory) begun() (out map[uint64]underway, err error) {
	out = map[uint64]underway{}
	err = m.db.View(func(tx *bbolt.Tx) error {
		return tx.Bucket(bucketUnderway).ForEach(func(k, v []byte) error {
			var u underway
			if json.Unmarshal(v, &u) == nil {
				out[binary.BigEndian.Uint64(k)] = u
			}
			return nil
		})
	})
	return out, err
}

// note keeps the interaction of a responder as it is now.
func (r *responder) note(parts []sealed, shown bool) {
	it := r.it
	u := underway{App: it.App, Token: it.Token, Channel: it.Channel, Guild: it.Guild, Who: it.who(), Private: r.private, Parts: parts, Shown: shown}
	if err := r.a.mem.begin(number(it.ID), u); err != nil && r.a.work.Err() == nil {
		r.a.log.Warn("a slow answer could not be kept; a restart would lose it", "err", err)
	}
}

// over forgets the interaction, unless the program ends in the middle of it.
func (r *responder) over() {
	if r.a.work.Err() == nil {
		r.a.end(number(r.it.ID))
	}
}

func (a *Adapter) end(id uint64) {
	if err := a.mem.ended(id); err != nil && a.work.Err() == nil {
		a.log.Warn("an answered interaction could not be dropped", "err", err)
	}
}

// takeUp ends what was acknowledged before the last stop: with its answer where there
// is one, else with a word. It is not asked again: it may have done what it was to do.
func (a *Adapter) takeUp(left map[uint64]underway) {
	defer a.survive("what was begun")
	for id, u := range left {
		if a.o.Now().Sub(made(id)) < tokenLife {
			if err := a.finish(a.work, id, u); err != nil && !final(err) {
				if a.work.Err() != nil {
					return // the next start does
				}
				a.log.Warn("an interaction of before the restart could not be answered", "err", err)
			}
		}
		a.end(id)
	}
}

func (a *Adapter) finish(ctx context.Context, id uint64, u underway) error {
	a.count.Count("taken up")
	hook := "/webhooks/" + u.App + "/" + u.Token
	send := sending{asker: u.Who}
	if len(u.Parts) == 0 || u.Shown {
		b := a.plain(nil, a.say(a.houseOf(u.Guild), "restarted"))[0].body(send)
		if !u.Shown {
			return a.rest.Do(ctx, http.MethodPatch, hook+"/messages/@original", b, nil)
		}
		if u.Private {
			b.Flags |= discordgo.MessageFlagsEphemeral
		}
		return a.rest.Do(ctx, http.MethodPost, hook, b, nil) // how much of the rest is there, nobody knows
	}
	err := a.rest.DoFiles(ctx, http.MethodPatch, hook+"/messages/@original", u.Parts[0].Body, u.Parts[0].files(), nil)
	if err != nil && final(err) {
		return a.elsewhere(ctx, id, u)
	}
	for _, s := range u.Parts[1:] {
		if err == nil {
			err = a.rest.DoFiles(ctx, http.MethodPost, hook, s.Body, s.files(), nil)
		}
	}
	return err
}

// elsewhere says in the channel what can't be shown where it was asked any more; what
// only its asker may see is dropped.
func (a *Adapter) elsewhere(ctx context.Context, id uint64, u underway) error {
	if u.Private || number(u.Channel) == 0 {
		return errors.New("only its asker may see it, and it can't be shown to them any more")
	}
	for i, s := range u.Parts {
		var b map[string]json.RawMessage
		if err := json.Unmarshal(s.Body, &b); err != nil {
			return err
		}
		delete(b, "flags")
		b["nonce"], _ = json.Marshal(nonceOf(fmt.Sprint(id, " elsewhere ", i)))
		b["enforce_nonce"] = json.RawMessage("true")
		data, err := json.Marshal(b)
		if err != nil {
			return err
		}
		s.Body = data
		if _, _, err := a.send(ctx, u.Channel, s); err != nil {
			return err
		}
	}
	a.count.Count("answered elsewhere")
	return nil
}
