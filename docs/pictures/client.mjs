// One scene as the client draws it: the text is read by a parser of the client's
// mark-up, not by ours; the parts are drawn by web components.
import "@skyra/discord-components-core";
import { parse } from "discord-markdown-parser";

const el = (tag, attrs = {}, ...children) => {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(attrs)) {
    if (v === true) e.setAttribute(k, "");
    else if (v !== undefined && v !== false) e.setAttribute(k, v);
  }
  e.append(...children.flat());
  return e;
};

const zone = "Europe/Oslo";
const time = (unix, style, now) => {
  const at = new Date(unix * 1000);
  const as = (o) => new Intl.DateTimeFormat("en-GB", { timeZone: zone, ...o }).format(at);
  switch (style) {
    case "t": return as({ hour: "2-digit", minute: "2-digit" });
    case "R": {
      const s = unix - now, rel = new Intl.RelativeTimeFormat("en");
      const [n, unit] = Math.abs(s) < 2700 ? [s / 60, "minute"] : Math.abs(s) < 86400 ? [s / 3600, "hour"] : [s / 86400, "day"];
      return rel.format(Math.round(n), unit);
    }
    default: return as({ day: "numeric", month: "long", year: "numeric" }) + " " + as({ hour: "2-digit", minute: "2-digit" });
  }
};

// nodes draws what the parser read; a kind it does not know is an error to see.
function nodes(ast, cx) {
  return [ast].flat().map((n) => {
    const inner = () => nodes(n.content, cx);
    switch (n.type) {
      case "text": return document.createTextNode(n.content);
      case "br": case "newline": return el("br");
      case "strong": return el("discord-bold", {}, inner());
      case "em": return el("discord-italic", {}, inner());
      case "underline": return el("discord-underlined", {}, inner());
      case "strikethrough": return el("s", {}, inner());
      case "heading": return el("discord-header", { level: n.level }, inner());
      case "subtext": return el("discord-subscript", {}, inner());
      case "inlineCode": return el("discord-code", {}, n.content);
      case "codeBlock": return el("discord-code", { multiline: true, embed: cx.embed }, n.content);
      case "blockQuote": return el("discord-quote", {}, inner());
      case "spoiler": return el("discord-spoiler", {}, inner());
      case "url": case "autolink": return el("discord-link", { href: n.target }, inner());
      case "timestamp": return el("discord-time", {}, time(+n.timestamp, n.format ?? "f", cx.now));
      case "user": return el("discord-mention", { type: "user", highlight: true }, cx.asker);
      case "emoji": case "twemoji": return document.createTextNode(n.name ?? n.content);
      default: return el("b", { style: "color:red" }, `[${n.type}?]`);
    }
  });
}

const face = (name) => "data:image/svg+xml," + encodeURIComponent(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40"><rect width="40" height="40" fill="${name === "tamis" ? "#5b6ee1" : "#6d6f78"}"/><text x="20" y="27" font-family="sans-serif" font-size="19" fill="#fff" text-anchor="middle">${name[0].toUpperCase()}</text></svg>`);
const clock = (at) => time(Date.parse(at) / 1000, "t");

const styles = { 1: "primary", 2: "secondary", 3: "success", 4: "destructive" };

function row(r) {
  return el("discord-action-row", {}, r.components.map((c) => {
    if (c.type === 2) return el("discord-button", { type: styles[c.style] }, c.label);
    return el("discord-string-select-menu", { placeholder: c.placeholder });
  }));
}

function message(part, s, cx) {
  const m = part.message;
  const out = el("discord-message", { author: "tamis", avatar: face("tamis"), bot: true, timestamp: clock(s.at), ephemeral: ((m.flags ?? 0) & 64) !== 0, highlight: (m.content ?? "").includes("<@") });
  if (s.does && part === s.parts[0]) out.append(el("discord-reply", { slot: "reply", author: s.who, avatar: face(s.who) }, s.does));
  out.append(...nodes(parse(m.content ?? "", "normal"), cx));
  for (const e of m.embeds ?? []) {
    const card = el("discord-embed", { slot: "embeds", "embed-title": e.title ?? "" });
    card.append(el("discord-embed-description", { slot: "description" }, nodes(parse(e.description, "extended"), { ...cx, embed: true })));
    out.append(card);
  }
  const comps = el("discord-attachments", { slot: "components" });
  for (const r of m.components ?? []) comps.append(row(r));
  if (m.components?.length) out.append(comps);
  if (part.thread) out.append(el("discord-thread", { slot: "thread", name: part.thread, cta: "See thread" }, el("discord-thread-message", { author: "tamis", avatar: face("tamis"), bot: true, "relative-timestamp": "now" }, "…")));
  for (const f of part.files ?? []) out.append(el("discord-attachments", { slot: "attachments" }, el("discord-file-attachment", { name: f, bytes: 12, "bytes-unit": "kB", type: "txt" })));
  return out;
}

window.draw = (s) => {
  document.body.replaceChildren();
  document.body.style.cssText = "margin:0;background:#313338";
  const style = el("style", {}, "discord-action-row{flex-wrap:wrap} #scene{width:390px;box-sizing:border-box} discord-message{padding-right:8px} /* a phone's margin, not a desktop's */");
  const cx = { now: Date.parse(s.at) / 1000, asker: "Jonte" };
  const box = el("discord-messages", { id: "scene" });
  if (s.says) box.append(el("discord-message", { author: s.who, avatar: face(s.who), timestamp: clock(s.at) }, el("discord-mention", { type: "user" }, "tamis"), " " + s.says));
  if (s.form) {
    const input = s.form.rows[0].components[0];
    box.append(el("div", { style: "margin:12px 16px;padding:16px;border-radius:8px;background:#242429;font-family:sans-serif;color:#f2f3f5" },
      el("div", { style: "font-size:20px;font-weight:600;margin-bottom:14px" }, s.form.title),
      el("discord-input-text", { type: "short", label: input.label, placeholder: input.placeholder, required: input.required, "min-length": input.min_length, "max-length": input.max_length })));
  }
  const inside = s.parts.filter((p) => p.inside);
  for (const p of s.parts.filter((p) => !p.inside)) box.append(message(p, s, cx));
  if (inside.length) box.append(el("div", { style: "margin:8px 16px;color:#949ba4;font:12px sans-serif" }, "— in the thread —"));
  for (const p of inside) box.append(message(p, s, cx));
  document.body.append(style, box);
};
