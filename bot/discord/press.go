package discord

import (
	"context"
	"net/http"
	"time"

	"tamis/bot/discord/look"
	"tamis/kb"
)

// pressed takes a button, a menu or a form: it is read, checked against tampering
// and against who pressed, and then asked as if it had been written.
func (a *Adapter) pressed(it *interaction) {
	v := visitor{house: a.houseOf(it.Guild), who: it.who(), roles: it.roles(), interaction: true}
	if it.Guild != "" && v.house != nil {
		act, err := look.Read(a.key(v.house), it.Data.CustomID)
		if err == nil && !act.May(v.who) {
			err = look.ErrNotYours
		}
		if err != nil {
			a.aside.Go(func() { a.refusePress(it, v.house, err) })
			return
		}
		if act.Do.Form() && it.Type == kindComponent {
			a.aside.Go(func() { defer a.survive("a form"); a.form(it, v.house, act) })
			return
		}
	}
	way := wayButton
	if it.Type == kindForm {
		way = wayForm
	}
	a.queue(it, false, func(ctx context.Context, r *responder) { a.press(ctx, it, v, way, r) })
}

func (a *Adapter) refusePress(it *interaction, h *House, err error) {
	defer a.survive("a press")
	a.count.Count("refused press")
	a.respond(it, true).answer(a.work, partsOf(a.look(h).Refusal(err, look.Options{})), true)
}

// form shows the form that an act opens.
func (a *Adapter) form(it *interaction, h *House, act look.Act) {
	b, err := h.Asker.Book(a.work)
	if err != nil {
		a.tell(it, a.say(h, "failed"))
		return
	}
	recipe := act.Of(b.Snap)
	if recipe == nil && act.Recipe != 0 {
		a.refusePress(it, h, look.ErrGone)
		return
	}
	modal := a.look(h).Modal(act, nameOf(recipe))
	if modal == nil {
		a.refusePress(it, h, look.ErrForeign)
		return
	}
	ctx, cancel := context.WithDeadline(a.work, it.came.Add(answerWithin))
	defer cancel()
	c := callback{callModal, map[string]any{"custom_id": modal.CustomID, "title": modal.Title, "components": modal.Components}}
	if err := a.rest.Do(ctx, http.MethodPost, "/interactions/"+it.ID+"/"+it.Token+"/callback", c, nil); err != nil {
		a.log.Warn("a form could not be shown", "err", err)
		return
	}
	a.count.Answered(wayButton, time.Since(it.came))
}

func nameOf(r *kb.Recipe) string {
	if r == nil {
		return ""
	}
	return r.Name
}

// press answers a press, in its channel's order.
func (a *Adapter) press(ctx context.Context, it *interaction, v visitor, way string, r *responder) {
	refuse := func(err error) {
		a.count.Count("refused press")
		r.answer(ctx, partsOf(a.look(v.house).Refusal(err, look.Options{})), true)
	}
	if it.Guild == "" || v.house == nil {
		at, err := a.visit(ctx, it.Guild, v.who, v.roles, "")
		if err != nil || at.say != "" {
			text := at.say
			if err != nil {
				text = a.say(nil, "failed")
			}
			r.answer(ctx, a.plain(nil, text), true)
			return
		}
		v.house, v.roles = at.house, at.roles
	} else if time.Since(it.came) > stale {
		v.roles = a.rolesNow(ctx, it.Guild, v.who)
	}
	act, err := look.Read(a.key(v.house), it.Data.CustomID)
	if err != nil {
		refuse(err)
		return
	}
	if !act.May(v.who) {
		refuse(look.ErrNotYours)
		return
	}
	b, err := v.house.Asker.Book(ctx)
	if err != nil {
		a.log.Error("the book could not be read", "house", v.house.ID, "err", err)
		r.answer(ctx, a.plain(v.house, a.say(v.house, "failed")), true)
		return
	}
	recipe := act.Of(b.Snap)
	if recipe == nil && act.Recipe != 0 {
		refuse(look.ErrGone)
		return
	}
	if act.Do.Form() && it.Type == kindComponent { // of a direct talk
		r.settle()
		a.form(it, v.house, act)
		return
	}
	typed := look.Typed(it.fields())
	if len(it.Data.Values) > 0 {
		typed = it.Data.Values[0]
	}
	text, err := act.Question(nameOf(recipe), typed)
	if err != nil {
		refuse(err)
		return
	}
	if act.Recipe != 0 {
		v.pressed = &act
	}
	if act.Mark != 0 && !a.resumed(ctx, v, it.Channel, act) {
		refuse(look.ErrOver)
		return
	}
	a.reply(ctx, it, v, text, false, way, r)
}

// resumed reports whether the talk of a person stands where a press belongs. A
// question whose talk is over is asked again, as far as the press carries it.
func (a *Adapter) resumed(ctx context.Context, v visitor, channel string, act look.Act) bool {
	talk := channel + " " + v.who
	if a.marked(talk) == act.Mark {
		return true
	}
	if act.Do != look.DoChoose || act.What == "" {
		return false
	}
	a.ask(ctx, v, channel, act.What, a.o.Now(), false)
	return a.marked(talk) == act.Mark
}

// mostMarks bounds the talks whose last reply is known.
const mostMarks = 20000

func (a *Adapter) mark(talk string, n uint32) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.marks) >= mostMarks {
		clear(a.marks) // a press then says that its question is over
	}
	a.marks[talk] = n
}

func (a *Adapter) marked(talk string) uint32 {
	a.mu.Lock()
	defer a.mu.Unlock()
	return a.marks[talk]
}
