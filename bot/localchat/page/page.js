// The chat page. Every word that came from a person or the bot reaches the
// document as textContent; entities become elements made here.
"use strict";

const $ = (id) => document.getElementById(id);

// el makes an element: properties by name, data-/aria- attributes as written.
function el(tag, props = {}, ...children) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(props)) {
    if (v === undefined || v === null) continue;
    if (k.includes("-") || k === "role") e.setAttribute(k, v);
    else e[k] = v;
  }
  e.append(...children.filter((c) => c !== null && c !== undefined));
  return e;
}

const world = { people: new Map(), order: [], groups: [], bot: {}, seq: 0, board: null };

async function post(path, body) {
  const r = await fetch("/page/" + path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  const answer = await r.json().catch(() => ({}));
  if (!r.ok) throw new Error(answer.error || "The server answered " + r.status + ".");
  return answer;
}

let troubleTimer = 0;
function trouble(text, lasting) {
  clearTimeout(troubleTimer);
  $("trouble").textContent = text;
  $("trouble").hidden = !text;
  if (text && !lasting) troubleTimer = setTimeout(() => trouble(""), 8000);
}

// attempt runs something that may be refused and shows the refusal.
async function attempt(what) {
  try {
    return await what();
  } catch (e) {
    trouble(e.message[0].toUpperCase() + e.message.slice(1));
    return undefined;
  }
}

// ---- announcements: one for a flood, as on the morning push ----

let waiting = [];
let liveTimer = 0;
function announce(text, silentCount) {
  waiting.push({ text, silentCount });
  clearTimeout(liveTimer);
  liveTimer = setTimeout(() => {
    const shown = waiting.filter((w) => !w.silentCount);
    const others = waiting.length - shown.length;
    waiting = [];
    const parts = shown.slice(-3).map((w) => w.text);
    if (others) parts.push(others === 1 ? "One new card on another peg." : others + " new cards on other pegs.");
    $("live").textContent = parts.join(" ");
  }, 400);
}

// ---- formatted text ----

const tagOf = { bold: "strong", italic: "em", underline: "u", strikethrough: "s", code: "code", pre: "pre", blockquote: "blockquote", expandable_blockquote: "blockquote" };

function webAddress(s) {
  try {
    const u = new URL(s);
    return u.protocol === "http:" || u.protocol === "https:" ? u : null;
  } catch {
    return null;
  }
}

// invitationIn reads the start payload of a deep link to our own bot.
function invitationIn(s) {
  let u;
  try {
    u = new URL(s);
  } catch {
    return "";
  }
  const name = u.protocol === "tg:" ? u.searchParams.get("domain") || "" : u.pathname.replace(/^\/+|\/+$/g, "");
  if (name.toLowerCase() !== (world.bot.username || "").toLowerCase()) return "";
  return u.searchParams.get("start") || "";
}

function link(address, text) {
  const code = invitationIn(address);
  if (code) {
    const b = el("button", { type: "button", className: "textlink" }, ...text);
    b.addEventListener("click", () => openInvitation(0, code));
    return b;
  }
  const u = webAddress(address.includes("://") ? address : "http://" + address);
  if (!u) return el("span", {}, ...text);
  return el("a", { href: u.href, target: "_blank", rel: "noopener noreferrer" }, ...text);
}

function wrap(e, text, children) {
  switch (e.type) {
    case "text_link":
      return link(e.url, children);
    case "url":
      return link(text, children);
    case "spoiler": {
      const b = el("button", { type: "button", className: "spoiler", "aria-expanded": "false", title: "Show the hidden words" }, el("span", {}, ...children));
      b.addEventListener("click", () => b.setAttribute("aria-expanded", "true"));
      return b;
    }
    case "bot_command":
    case "mention":
      return el("span", { className: "word" }, ...children);
  }
  const tag = tagOf[e.type];
  return tag ? el(tag, tag === "pre" || tag === "code" ? { dir: "ltr" } : {}, ...children) : el("span", {}, ...children);
}

// format draws text with entities; offsets are UTF-16, as string indices are.
// An entity that crosses the border of an earlier one is cut there.
function format(text, entities) {
  const list = (entities || []).slice().sort((a, b) => a.offset - b.offset || b.length - a.length);
  let i = 0;
  const run = (from, to) => {
    const out = [];
    let at = from;
    while (i < list.length && list[i].offset < to) {
      const e = list[i++];
      const lo = Math.max(e.offset, at);
      const hi = Math.min(e.offset + e.length, to);
      if (hi <= lo) continue;
      if (lo > at) out.push(text.slice(at, lo));
      out.push(wrap(e, text.slice(lo, hi), run(lo, hi)));
      at = hi;
    }
    if (at < to) out.push(text.slice(at, to));
    return out;
  };
  return run(0, text.length);
}

// ---- one room: a person and the chat shown of them ----

class Room {
  constructor(id, staff) {
    this.id = id;
    this.staff = staff;
    this.root = $(id);
    this.root.append($("room").content.cloneNode(true));
    this.q = (s) => this.root.querySelector(s);
    this.person = null;
    this.chat = 0;
    this.cards = new Map();
    this.seq = 0;
    this.drafts = new Map();
    this.correct = 0;
    this.loading = null;
    this.held = [];
    this.q("h2").id = id + "-title";
    this.q(".who").setAttribute("aria-label", "Staff members");
    this.q(".who").hidden = !staff;
    const label = this.q(".composer label");
    const field = this.q("textarea");
    field.id = id + "-words";
    label.htmlFor = field.id;
    field.addEventListener("input", () => {
      if (field.value === "\n") field.value = ""; // left behind by some keyboards' Enter
      this.fit();
    });
    field.addEventListener("keydown", (ev) => {
      if (ev.key === "Enter" && !ev.shiftKey && !ev.isComposing) {
        ev.preventDefault();
        this.q(".composer").requestSubmit();
      }
      if (ev.key === "Escape" && this.correct) this.endCorrection();
    });
    this.q(".composer").addEventListener("submit", (ev) => {
      ev.preventDefault();
      this.send();
    });
    this.q(".correcting button").addEventListener("click", () => this.endCorrection());
    this.q(".start button").addEventListener("click", () => attempt(() => (this.person.blocked ? post("block", { person: this.person.id, blocked: false }) : post("start", { person: this.person.id }))));
    this.q(".earlier").addEventListener("click", () => this.earlier());
    for (const b of this.root.querySelectorAll("[data-kind]")) {
      b.addEventListener("click", () => {
        b.closest("details").open = false;
        attempt(() => post("attach", { person: this.person.id, chat: this.chat, kind: b.dataset.kind }));
      });
    }
    this.q(".invite").addEventListener("click", () => {
      this.q(".more").open = false;
      openInvitation(this.person.id, "");
    });
    this.q(".block").addEventListener("click", () => {
      this.q(".more").open = false;
      attempt(() => post("block", { person: this.person.id, blocked: !this.person.blocked }));
    });
    if (staff) choosable(this.q(".who"), (id) => open(id));
  }

  field() {
    return this.q("textarea");
  }

  fit() {
    const f = this.field();
    f.style.height = "auto";
    f.style.height = Math.min(f.scrollHeight + 2, 160) + "px";
  }

  chatsOf(p) {
    return [p.id, ...world.groups.filter((g) => g.members.includes(p.id)).map((g) => g.id)];
  }

  async show(person, chat) {
    if (this.person) this.drafts.set(this.person.id + "/" + this.chat, this.field().value);
    const same = this.person && this.person.id === person.id;
    this.person = person;
    const chats = this.chatsOf(person);
    if (!chat) chat = (same || this.chat < 0) && chats.includes(this.chat) ? this.chat : person.id;
    if (!same || chat !== this.chat) {
      // Nobody must tap another person's card while the new ones come.
      this.cards.clear();
      this.q(".cards").replaceChildren();
      this.keyboard(null);
    }
    this.chat = chat;
    this.endCorrection();
    this.field().value = this.drafts.get(person.id + "/" + chat) || "";
    this.fit();
    this.q(".answer").textContent = "";
    this.heading();
    await this.load();
  }

  heading() {
    const p = this.person;
    if (!p) return;
    const group = world.groups.find((g) => g.id === this.chat);
    this.q("h2").textContent = p.name;
    this.q(".note").textContent = [p.shirt && !p.staff ? "No. " + p.shirt : "", p.note, p.section && !p.staff ? p.section : ""].filter(Boolean).join(" · ");
    this.q(".composer label").textContent = group ? "Write in “" + group.title + "” as " + p.name : "Answer as " + p.name;
    this.field().placeholder = this.placeholder || "Write here";
    const chats = this.q(".chats");
    const ids = this.chatsOf(p);
    chats.hidden = ids.length < 2;
    const labels = ids.map((id) => {
      const g = world.groups.find((x) => x.id === id);
      return { id, text: g ? g.title : "Own chat", n: id === this.chat ? 0 : p.unread[id] || 0 };
    });
    const key = JSON.stringify([p.id, this.chat, labels]);
    if (key !== this.chatsShown) {
      this.chatsShown = key;
      chats.replaceChildren(
        ...labels.map(({ id, text, n }) => {
          const b = el("button", { type: "button", "aria-pressed": String(id === this.chat) }, text, n ? badge(n) : null);
          b.addEventListener("click", () => {
            this.show(p, id); // draws the buttons again before it waits
            this.q(".chats [aria-pressed=true]")?.focus();
          });
          return b;
        }),
      );
    }
    const blocked = this.q(".block");
    blocked.setAttribute("aria-pressed", String(p.blocked));
    blocked.textContent = p.blocked ? "Unblock the bot" : "Block the bot";
    const start = this.q(".start");
    const closed = !group && (p.blocked || !p.started);
    start.hidden = !closed;
    this.q(".composer").hidden = closed;
    this.q(".keys").hidden = closed;
    this.q(".start p").textContent = p.blocked ? p.name + " has blocked the bot. It cannot write until the block is lifted." : p.name + " has not opened the chat yet, so the bot cannot write first.";
    this.q(".start button").textContent = p.blocked ? "Unblock the bot" : "Open the chat";
    const clock = world.board && world.board.clock;
    this.q(".empty").textContent = (group ? "Nothing said here yet." : "Nothing hangs here yet.") + (clock && clock.movable && !closed ? " Move the clock on, or write something." : "");
  }

  // load draws the chat afresh. Events that come meanwhile wait, since the
  // answer may have been written before or after them.
  async load() {
    const mine = (this.loading = {});
    const r = await fetch("/page/chat?person=" + this.person.id + "&chat=" + this.chat).catch(() => null);
    if (mine !== this.loading) return;
    const c = r && r.ok ? await r.json().catch(() => null) : null;
    if (mine !== this.loading) return;
    this.loading = null;
    if (c) this.draw(c);
    else trouble("These cards could not be fetched; pick the peg again.");
    const held = this.held;
    this.held = [];
    for (const [kind, ev, seq] of held) this.on(kind, ev, seq);
  }

  draw(c) {
    this.seq = c.seq;
    this.cards.clear();
    this.q(".cards").replaceChildren();
    for (const m of c.messages) this.hang(m);
    this.q(".earlier").hidden = !c.more;
    this.q(".empty").hidden = c.messages.length > 0;
    this.q(".doing").hidden = true;
    this.keyboard(c.keyboard);
    this.menu(c.commands);
    this.afterHang();
    this.toEnd(c.seen);
    this.seen();
  }

  async earlier() {
    const first = Math.min(...this.cards.keys());
    const r = await fetch("/page/chat?person=" + this.person.id + "&chat=" + this.chat + "&before=" + first);
    if (!r.ok) return;
    const c = await r.json();
    const list = this.q(".cards");
    const keep = [...list.children];
    const old = this.cards;
    this.cards = new Map();
    list.replaceChildren();
    for (const m of c.messages) this.hang(m);
    for (const [k, v] of old) this.cards.set(k, v);
    list.append(...keep);
    this.days();
    this.q(".earlier").hidden = !c.more;
  }

  hang(m) {
    const li = this.card(m);
    const old = this.cards.get(m.id);
    if (old) old.replaceWith(li);
    else this.q(".cards").append(li);
    this.cards.set(m.id, li);
    return li;
  }

  // days puts a date above the first card of each day.
  days() {
    let day = "";
    for (const li of this.q(".cards").children) {
      const fresh = li.dataset.day !== day;
      day = li.dataset.day;
      const mark = li.querySelector(":scope > .day");
      if (fresh && !mark) li.prepend(el("p", { className: "day" }, day));
      if (!fresh && mark) mark.remove();
    }
  }

  // afterHang settles what depends on the whole list.
  afterHang() {
    this.days();
    const own = [...this.cards.values()].filter((li) => li.classList.contains("own"));
    for (const li of own) li.classList.toggle("latest", li === own[own.length - 1]);
  }

  card(m) {
    const own = this.person && m.from_id === this.person.id;
    const li = el("li", { className: m.service ? "service" : m.bot ? "bot" : own ? "own" : "other" });
    li.dataset.id = m.id;
    li.dataset.day = m.day;
    if (m.service) {
      li.append(el("p", { className: "service-line" }, m.service + " · " + m.at));
      return li;
    }
    const body = el("article", { className: "sheet-of-paper" });
    const head = el("header", {}, el("span", { className: "from" }, m.from), el("span", { className: "at" }, m.at + (m.edited ? " · edited " + m.edited : "")));
    if (m.protected) head.append(el("span", { className: "mark" }, "not to be passed on"));
    if (own && m.text && !m.photo && !m.document) {
      const b = el("button", { type: "button", className: "correct" }, "Correct this");
      b.addEventListener("click", () => this.startCorrection(m));
      head.append(b);
    }
    body.append(head);
    if (m.reply) body.append(el("p", { className: "reply", dir: "auto" }, "To: " + m.reply));
    if (m.photo) body.append(el("img", { src: "/page/file?id=" + encodeURIComponent(m.photo.file_id), width: m.photo.width, height: m.photo.height, alt: m.text ? "Picture for the text below" : "Picture without words", loading: "lazy" }));
    if (m.sticker) body.append(el("p", { className: "sticker" }, el("span", { "aria-hidden": "true" }, m.sticker), " sticker"));
    if (m.video) body.append(el("p", { className: "attached" }, "Video, " + m.video.duration + " s"));
    if (m.voice) body.append(el("p", { className: "attached" }, "Voice note, " + m.voice.duration + " s"));
    if (m.document)
      body.append(el("p", { className: "attached" }, el("a", { href: "/page/file?id=" + encodeURIComponent(m.document.file_id), download: m.document.file_name || "file" }, "Download " + (m.document.file_name || "file")), " (" + size(m.document.file_size) + ")"));
    if (m.text) body.append(el("div", { className: "words", dir: "auto" }, ...format(m.text, m.entities)));
    if (m.buttons && m.buttons.length) body.append(this.buttons(m));
    li.append(body);
    return li;
  }

  buttons(m) {
    const box = el("div", { className: "tear", role: "group", "aria-label": "Answers on this card" });
    for (const row of m.buttons) {
      const line = el("div", { className: "tear-row" });
      for (const b of row) {
        if (b.url) {
          const code = invitationIn(b.url);
          const u = webAddress(b.url);
          if (code) {
            const k = el("button", { type: "button", dir: "auto" }, b.text);
            k.addEventListener("click", () => openInvitation(0, code));
            line.append(k);
          } else if (u) {
            line.append(el("a", { href: u.href, target: "_blank", rel: "noopener noreferrer", className: "button", dir: "auto" }, b.text + " ↗"));
          }
          continue;
        }
        const k = el("button", { type: "button", dir: "auto" }, b.text);
        k.dataset.data = b.callback_data;
        k.addEventListener("click", async () => {
          k.setAttribute("aria-busy", "true");
          setTimeout(() => k.removeAttribute("aria-busy"), 4000);
          await attempt(() => post("tap", { person: this.person.id, chat: this.chat, message: m.id, data: b.callback_data }));
        });
        line.append(k);
      }
      box.append(line);
    }
    return box;
  }

  keyboard(k) {
    const box = this.q(".keys");
    this.placeholder = k ? k.Placeholder : "";
    if (this.person) this.field().placeholder = this.placeholder || "Write here";
    box.replaceChildren(
      ...(k && k.Rows ? k.Rows : []).map((row) =>
        el(
          "div",
          { className: "keys-row" },
          ...row.map((text) => {
            const b = el("button", { type: "button", dir: "auto" }, text);
            b.addEventListener("click", () => attempt(() => post("say", { person: this.person.id, chat: this.chat, text })));
            return b;
          }),
        ),
      ),
    );
  }

  menu(commands) {
    const box = this.q(".commands");
    box.hidden = !commands || !commands.length;
    box.querySelector(".sheet").replaceChildren(
      ...(commands || []).map((c) => {
        const b = el("button", { type: "button" }, el("strong", {}, "/" + c.command), " ", el("span", { dir: "auto" }, c.description));
        b.addEventListener("click", () => {
          box.open = false;
          attempt(() => post("say", { person: this.person.id, chat: this.chat, text: "/" + c.command }));
        });
        return b;
      }),
    );
  }

  // send empties the field at once, because the message may hang before the
  // server's answer is here; what was refused comes back into an empty field.
  async send() {
    const f = this.field();
    const text = f.value.trim();
    if (!text) return;
    const { correct, person, chat } = this;
    this.endCorrection();
    f.value = "";
    this.fit();
    const where = { person: person.id, chat, text };
    const sent = await attempt(() => (correct ? post("edit", { ...where, message: correct }) : post("say", where)));
    if (sent !== undefined || this.person !== person || this.chat !== chat || f.value.trim()) return;
    if (correct) this.startCorrection({ id: correct, text });
    else this.lay(text);
  }

  lay(text) {
    this.endCorrection();
    this.field().value = text;
    this.fit();
    this.field().focus();
  }

  startCorrection(m) {
    this.correct = m.id;
    this.field().value = m.text;
    this.fit();
    this.q(".correcting").hidden = false;
    this.q(".send").textContent = "Send correction";
    this.field().focus();
  }

  endCorrection() {
    if (this.correct) {
      this.field().value = "";
      this.fit();
    }
    this.correct = 0;
    this.q(".correcting").hidden = true;
    this.q(".send").textContent = "Send";
  }

  // toEnd shows the first card not yet seen, or the end of the last.
  toEnd(seen) {
    const fresh = [...this.cards].find(([id, li]) => id > seen && !li.classList.contains("own"));
    const box = this.q(".hangings");
    if (inside(box)) {
      box.scrollTop = box.scrollHeight;
      if (fresh && fresh[1].offsetTop < box.scrollTop) box.scrollTop = fresh[1].offsetTop - 12;
    } else if (this.visible() && this.cards.size > 0) {
      this.root.scrollIntoView({ block: "start" });
    }
  }

  follow(li) {
    const box = this.q(".hangings");
    if (!inside(box)) {
      if (this.visible()) li.scrollIntoView({ block: "nearest" });
      return;
    }
    // A long card is shown from its top.
    const room = box.clientHeight - 24;
    box.scrollTop = li.offsetHeight > room ? li.offsetTop - 12 : box.scrollHeight;
  }

  visible() {
    return this.root.offsetParent !== null && document.visibilityState === "visible";
  }

  async seen() {
    const last = Math.max(0, ...this.cards.keys());
    if (!last || !this.visible() || !(this.person.unread[this.chat] > 0)) return;
    this.person.unread[this.chat] = 0;
    drawCounts();
    await post("seen", { person: this.person.id, chat: this.chat, message: last }).catch(() => {});
  }

  // on takes an event of the stream.
  on(kind, ev, seq) {
    if (!this.person || ev.chat !== this.chat) return false;
    if (this.loading) {
      this.held.push([kind, ev, seq]);
      return true;
    }
    if (seq <= this.seq) return false;
    switch (kind) {
      case "message": {
        const li = this.hang(ev.message);
        li.classList.add("fresh");
        this.q(".empty").hidden = true;
        this.q(".doing").hidden = true;
        this.keyboard(ev.keyboard);
        this.afterHang();
        this.follow(li);
        if (!li.classList.contains("own")) announce(ev.message.from + " to " + this.person.name + ": " + (ev.message.text || "a file").slice(0, 200));
        this.seen();
        return true;
      }
      case "edited":
        if (this.cards.has(ev.message.id)) {
          const li = this.hang(ev.message);
          this.afterHang();
          if (ev.message.bot) {
            li.classList.add("fresh");
            announce("A card was changed: " + (ev.message.text || "").slice(0, 200));
          }
        }
        return true;
      case "deleted": {
        const li = this.cards.get(ev.id);
        if (li) li.remove();
        this.cards.delete(ev.id);
        this.afterHang();
        return true;
      }
      case "doing": {
        const d = this.q(".doing");
        d.textContent = (world.bot.first_name || "The bot") + " is at work…";
        d.hidden = false;
        clearTimeout(this.doingTimer);
        this.doingTimer = setTimeout(() => (d.hidden = true), 5000);
        return true;
      }
      case "answer":
        if (ev.person !== this.person.id) return false;
        for (const b of this.root.querySelectorAll("[aria-busy]")) b.removeAttribute("aria-busy");
        if (!ev.text) return true;
        if (ev.alert) {
          $("notice-text").textContent = ev.text;
          $("notice").showModal();
        } else {
          const a = this.q(".answer");
          a.textContent = ev.text;
          clearTimeout(this.answerTimer);
          this.answerTimer = setTimeout(() => (a.textContent = ""), 6000);
        }
        return true;
    }
    return false;
  }
}

function inside(box) {
  return getComputedStyle(box).overflowY !== "visible";
}

function size(n) {
  if (n < 1024) return n + " bytes";
  return n < 1 << 20 ? Math.round(n / 1024) + " kB" : (n / (1 << 20)).toFixed(1) + " MB";
}

function badge(n) {
  return el("span", { className: "badge" }, String(n), el("span", { className: "aside" }, n === 1 ? " new card" : " new cards"));
}

// ---- choosing people ----

// choosable makes a listbox: one tab stop, arrows to move, Enter to choose.
function choosable(box, choose) {
  const items = () => [...box.querySelectorAll("[role=option]")];
  const focus = (e) => {
    for (const x of items()) x.tabIndex = x === e ? 0 : -1;
    e.focus();
  };
  box.addEventListener("click", (ev) => {
    const o = ev.target.closest("[role=option]");
    if (o) {
      focus(o);
      choose(Number(o.dataset.person));
    }
  });
  box.addEventListener("keydown", (ev) => {
    const list = items();
    const at = list.indexOf(document.activeElement);
    if (at < 0) return;
    let to = -1;
    switch (ev.key) {
      case "ArrowRight":
        to = Math.min(at + 1, list.length - 1);
        break;
      case "ArrowLeft":
        to = Math.max(at - 1, 0);
        break;
      case "Home":
        to = 0;
        break;
      case "End":
        to = list.length - 1;
        break;
      case "ArrowDown":
      case "ArrowUp": {
        // The nearest one of the next row that way.
        const here = list[at].getBoundingClientRect();
        const down = ev.key === "ArrowDown";
        let best = Infinity;
        list.forEach((e, i) => {
          const r = e.getBoundingClientRect();
          const dy = down ? r.top - here.top : here.top - r.top;
          if (dy < 4) return;
          const d = dy * 1000 + Math.abs(r.left - here.left);
          if (d < best) {
            best = d;
            to = i;
          }
        });
        break;
      }
      case "Enter":
      case " ":
        ev.preventDefault();
        choose(Number(list[at].dataset.person));
        return;
      default:
        return;
    }
    ev.preventDefault();
    if (to >= 0) focus(list[to]);
  });
}

const svg = "http://www.w3.org/2000/svg";
function shirt(label) {
  const s = document.createElementNS(svg, "svg");
  s.setAttribute("viewBox", "0 0 64 60");
  s.setAttribute("aria-hidden", "true");
  const path = (d, cls) => {
    const p = document.createElementNS(svg, "path");
    p.setAttribute("d", d);
    p.setAttribute("class", cls);
    s.append(p);
  };
  path("M20 5 L3 15 L9 29 L16 26 L16 57 L48 57 L48 26 L55 29 L61 15 L44 5 Q32 14 20 5 Z", "cloth");
  path("M20 5 Q32 14 44 5 L41 4 Q32 10 23 4 Z", "collar");
  const t = document.createElementNS(svg, "text");
  t.setAttribute("x", "32");
  t.setAttribute("y", "42");
  t.setAttribute("text-anchor", "middle");
  t.textContent = label;
  s.append(t);
  return s;
}

function initials(name) {
  return name
    .split(/\s+/)
    .map((w) => [...w][0] || "")
    .slice(0, 2)
    .join("");
}

function total(p) {
  return Object.values(p.unread).reduce((a, b) => a + b, 0);
}

function stateOf(p) {
  if (p.blocked) return "blocked";
  return p.started ? "" : "not joined";
}

function drawPegs() {
  const chosen = rooms.peg.person && rooms.peg.person.id;
  const had = document.activeElement && document.activeElement.closest("#pegs") ? document.activeElement.dataset.person : null;
  const sections = new Map();
  for (const id of world.order) {
    const p = world.people.get(id);
    if (p.staff) continue;
    if (!sections.has(p.section)) sections.set(p.section, []);
    sections.get(p.section).push(p);
  }
  const guide = currentScene();
  let n = 0;
  $("pegs").replaceChildren(
    ...[...sections].map(([name, people]) => {
      const hid = "section-" + ++n;
      return el(
        "div",
        { className: "rail", role: "group", "aria-labelledby": name ? hid : undefined },
        name ? el("h3", { id: hid }, name) : null,
        el(
          "div",
          { className: "hooks", role: "presentation" },
          ...people.map((p) => {
            const state = stateOf(p);
            const pointed = guide && guide.person === p.id && p.id !== chosen;
            const o = el(
              "div",
              { className: "peg", role: "option", "aria-selected": String(p.id === chosen), tabIndex: -1 },
              shirt(p.shirt ? String(p.shirt) : initials(p.name)),
              p.shirt ? el("span", { className: "aside" }, "Number " + p.shirt + ", ") : null,
              el("span", { className: "name", dir: "auto" }, p.name),
              state ? el("span", { className: "state" }, state) : null,
              pointed ? el("span", { className: "state pointed" }, "go here") : null,
            );
            o.dataset.person = p.id;
            o.title = [p.name, p.note].filter(Boolean).join(", ");
            return o;
          }),
        ),
      );
    }),
  );
  settleFocus($("pegs"), had);
  drawCounts();
}

function drawStaff() {
  const who = rooms.staff.q(".who");
  const chosen = rooms.staff.person && rooms.staff.person.id;
  const had = document.activeElement && document.activeElement.closest(".who") ? document.activeElement.dataset.person : null;
  const guide = currentScene();
  who.replaceChildren(
    ...world.order
      .map((id) => world.people.get(id))
      .filter((p) => p.staff)
      .map((p) => {
        const pointed = guide && guide.person === p.id && p.id !== chosen;
        const o = el(
          "div",
          { className: "plaque", role: "option", "aria-selected": String(p.id === chosen), tabIndex: -1 },
          el("span", { className: "name", dir: "auto" }, p.name),
          el("span", { className: "role" }, [p.note, stateOf(p)].filter(Boolean).join(", ")),
          pointed ? el("span", { className: "state pointed" }, "go here") : null,
        );
        o.dataset.person = p.id;
        return o;
      }),
  );
  settleFocus(who, had);
  drawCounts();
}

function settleFocus(box, had) {
  const list = [...box.querySelectorAll("[role=option]")];
  const stop = list.find((o) => o.dataset.person === had) || list.find((o) => o.getAttribute("aria-selected") === "true") || list[0];
  if (stop) stop.tabIndex = 0;
  if (had && stop) stop.focus();
}

// drawCounts refreshes the badges alone, which change often.
function drawCounts() {
  let pegs = 0;
  let staff = 0;
  for (const o of document.querySelectorAll("[role=option][data-person]")) {
    const p = world.people.get(Number(o.dataset.person));
    const old = o.querySelector(".badge");
    const n = p ? total(p) : 0;
    if (old && old.firstChild.textContent === String(n)) continue;
    if (old) old.remove();
    if (n) o.append(badge(n));
  }
  for (const p of world.people.values()) {
    if (total(p) > 0) p.staff ? staff++ : pegs++;
  }
  const open = rooms.peg.person ? total(rooms.peg.person) : 0;
  for (const [id, n] of [["tab-wall", pegs], ["tab-peg", open], ["tab-staff", staff]]) {
    $(id).replaceChildren(...(n ? [badge(n)] : []));
  }
  for (const r of Object.values(rooms)) r.heading();
}

// open shows a person where they belong.
function open(id, chat) {
  const p = world.people.get(id);
  if (!p) return undefined;
  const room = p.staff ? rooms.staff : rooms.peg;
  const shown = room.show(p, chat);
  if (p.staff) drawStaff();
  else {
    drawPegs();
    $("tab-peg-name").textContent = p.name;
    pane("peg");
  }
  if (p.staff && $("main").dataset.pane !== "staff") pane("staff");
  remember();
  return shown.then(() => room);
}

function pane(name) {
  const before = $("main").dataset.pane;
  $("main").dataset.pane = name;
  // On a phone the window scrolls: a new pane starts at its top.
  const top = $("main").offsetTop - $("tabs").offsetHeight;
  if (before !== name && window.scrollY > top) window.scrollTo(0, top);
  for (const b of $("tabs").querySelectorAll("[data-pane]")) b.setAttribute("aria-current", String(b.dataset.pane === name));
  for (const r of Object.values(rooms)) if (r.person) r.seen();
}

function remember() {
  const parts = Object.values(rooms)
    .filter((r) => r.person)
    .map((r) => r.id + "=" + r.person.id);
  history.replaceState(null, "", "#" + parts.join("&"));
}

// ---- invitations ----

function openInvitation(person, code) {
  const who = $("invite-who");
  const people = world.order.map((id) => world.people.get(id));
  people.sort((a, b) => Number(a.started) - Number(b.started));
  who.replaceChildren(...people.map((p) => el("option", { value: String(p.id) }, p.name + (p.note ? ", " + p.note : "") + (p.started ? "" : " (not joined)"))));
  if (person) who.value = String(person);
  $("invite-code").value = code;
  $("invite").returnValue = "";
  $("invite").showModal();
}

// ---- clock and guided walk ----

function currentScene() {
  return world.board && (world.board.scenes || []).find((s) => !s.done);
}

let moveRequested = false;
let moved = Promise.resolve(); // settled when the last move is over

function move(to) {
  if (!moveRequested) moved = moveNow(to);
  return moved;
}

async function moveNow(to) {
  moveRequested = true;
  drawBoard();
  const b = await attempt(() => post("clock", { to }));
  moveRequested = false;
  if (b) world.board = b;
  drawBoard();
}

let guideShown = "";
function drawBoard() {
  const b = world.board;
  if (!b) return;
  const c = b.clock;
  $("clock-time").hidden = $("clock-line").hidden = !c;
  $("clock-moves").hidden = !c || !c.movable;
  if (c) {
    const busy = c.moving || moveRequested;
    set($("clock-time"), c.time);
    set($("clock-day"), c.day);
    set($("clock-zone"), c.zone);
    const next = $("clock-next");
    next.hidden = !c.next && !busy;
    if (c.next) {
      set($("clock-next-label"), busy ? "Moving the clock…" : "Next event: " + c.next.when + " " + c.next.label);
      set($("clock-next-in"), busy ? "" : c.next.in);
    }
    set($("clock-evening"), "Evening (" + c.evening + ")");
    for (const e of $("clock-moves").querySelectorAll("button")) e.setAttribute("aria-disabled", String(busy));
    set($("clock-moving"), busy ? "The clock is moving; everything due on the way is being done." : "");
    $("clock-to").min = c.local;
    if (!$("clock-other").open) $("clock-to").value = c.local;
  }
  const scenes = b.scenes || [];
  $("guide").hidden = scenes.length === 0;
  const at = scenes.findIndex((s) => !s.done);
  const key = JSON.stringify([scenes, at]);
  if (key === guideShown) return;
  guideShown = key;
  $("guide-steps").replaceChildren(
    ...scenes.map((s, i) =>
      el(
        "li",
        { className: s.done ? "done" : i === at ? "now" : "later", "aria-current": i === at ? "step" : undefined },
        el("span", { className: "tick", "aria-hidden": "true" }, s.done ? "✓" : String(i + 1)),
        el("span", { className: "step" }, s.title),
        el("span", { className: "aside" }, s.done ? " (done)" : i === at ? " (now)" : ""),
      ),
    ),
  );
  if (scenes.length) {
    const s = scenes[at];
    $("tab-guide").hidden = !s;
    $("tab-guide").textContent = s ? "Step " + (at + 1) + " ↑" : "";
    $("guide-title").textContent = s ? "Step " + (at + 1) + " of " + scenes.length + ": " + s.title + "." : "That was the walk.";
    $("guide-text").textContent = s ? s.text : "Everything stays open: pick any peg, write what you like, move the clock on.";
    $("guide-go").hidden = !s;
    $("guide-go").textContent = s ? s.button : "";
    announce(s ? "Next step: " + s.title + ". " + s.text : "The guided walk is complete.");
    $("guide-steps").querySelector("[aria-current]")?.scrollIntoView({ block: "nearest", inline: "center" });
  }
  drawPegs();
  drawStaff();
}

function set(e, text) {
  if (e.textContent !== text) e.textContent = text;
}

async function followGuide() {
  const at = world.board.scenes.findIndex((s) => !s.done);
  const s = world.board.scenes[at];
  if (!s) return;
  if (s.by_hand) await attempt(() => post("scene", { scene: at }));
  if (s.move) {
    // A step may be ticked while the move that ticked it is still on its way.
    await moved;
    await move(s.move);
  }
  if (s.person) {
    const room = await open(s.person, s.person);
    if (room && s.say) room.lay(s.say);
    else if (room) {
      room.q("h2").focus({ preventScroll: true });
      room.root.classList.add("called");
      setTimeout(() => room.root.classList.remove("called"), 1600);
    }
  } else if (s.say) rooms.peg.lay(s.say);
}

// ---- loading and the stream ----

const rooms = {};

async function loadState() {
  const r = await fetch("/page/state");
  if (!r.ok) throw new Error("The server answered " + r.status + ".");
  const st = await r.json();
  world.bot = st.bot;
  world.groups = st.groups;
  world.order = st.people.map((p) => p.id);
  world.board = st.board;
  for (const p of st.people) {
    const known = world.people.get(p.id);
    if (known) Object.assign(known, p);
    else world.people.set(p.id, p);
  }
  document.title = st.title || "Dressing room";
  $("title").textContent = st.title || "Dressing room";
  drawPegs();
  drawStaff();
  drawBoard();
  return st;
}

let reloadTimer = 0;
function reloadSoon(everything) {
  clearTimeout(reloadTimer);
  reloadTimer = setTimeout(async () => {
    await attempt(loadState);
    for (const r of Object.values(rooms)) {
      if (!r.person) continue;
      if (everything) r.load();
      else if (!r.chatsOf(r.person).includes(r.chat)) r.show(r.person);
    }
  }, 80);
}

function listen(since) {
  const es = new EventSource("/page/events?since=" + since);
  let lost = false;
  const on = (kind, f) => es.addEventListener(kind, (ev) => f(JSON.parse(ev.data), Number(ev.lastEventId)));
  es.onopen = () => {
    if (lost) trouble("");
    lost = false;
  };
  es.onerror = () => {
    lost = true;
    trouble("No connection to the server; trying again.", true);
  };
  on("message", (ev, seq) => {
    let shown = false;
    for (const [id, n] of Object.entries(ev.unread || {})) {
      const p = world.people.get(Number(id));
      if (p) p.unread[ev.chat] = n;
    }
    for (const r of Object.values(rooms)) shown = r.on("message", ev, seq) || shown;
    if (!shown && ev.message.bot) announce("", true);
    countsSoon();
  });
  for (const kind of ["edited", "deleted", "doing", "answer"]) {
    on(kind, (ev, seq) => Object.values(rooms).forEach((r) => r.on(kind, ev, seq)));
  }
  on("seen", (ev) => {
    const p = world.people.get(ev.person);
    if (p) p.unread[ev.chat] = ev.unread;
    countsSoon();
  });
  on("people", () => reloadSoon(false));
  on("resync", () => reloadSoon(true));
  on("board", (b) => {
    world.board = b;
    drawBoard();
  });
}

let countsTimer = 0;
function countsSoon() {
  if (countsTimer) return;
  countsTimer = setTimeout(() => {
    countsTimer = 0;
    drawCounts();
  }, 60);
}

function wire() {
  rooms.peg = new Room("peg", false);
  rooms.staff = new Room("staff", true);
  choosable($("pegs"), (id) => open(id));
  for (const b of $("tabs").querySelectorAll("[data-pane]")) b.addEventListener("click", () => pane(b.dataset.pane));
  $("tab-guide").addEventListener("click", () => $("guide").scrollIntoView({ block: "start" }));
  $("clock-next").addEventListener("click", () => move("next"));
  $("clock-evening").addEventListener("click", () => move("evening"));
  $("clock-tomorrow").addEventListener("click", () => move("+1d"));
  $("clock-form").addEventListener("submit", (ev) => {
    ev.preventDefault();
    $("clock-other").open = false;
    move($("clock-to").value);
  });
  $("guide-go").addEventListener("click", followGuide);
  $("invite").addEventListener("close", async () => {
    if ($("invite").returnValue !== "go") return;
    const given = $("invite-code").value.trim();
    const person = Number($("invite-who").value);
    await attempt(() => post("start", { person, text: invitationIn(given) || given }));
    open(person, person);
  });
  // An open menu closes on Escape and on a click elsewhere.
  document.addEventListener("click", (ev) => {
    for (const d of document.querySelectorAll("details.menu[open]")) if (!d.contains(ev.target)) d.open = false;
  });
  document.addEventListener("keydown", (ev) => {
    if (ev.key !== "Escape") return;
    for (const d of document.querySelectorAll("details.menu[open]")) {
      d.open = false;
      d.querySelector("summary").focus();
    }
  });
  document.addEventListener("visibilitychange", () => Object.values(rooms).forEach((r) => r.person && r.seen()));
}

async function begin() {
  wire();
  const st = await loadState();
  listen(st.seq);
  const kept = new URLSearchParams(location.hash.slice(1));
  const pick = (name, staff) => {
    const p = world.people.get(Number(kept.get(name)));
    if (p && p.staff === staff) return p;
    const guide = currentScene();
    const guided = guide && world.people.get(guide.person);
    if (guided && guided.staff === staff) return guided;
    return world.order.map((id) => world.people.get(id)).find((x) => x.staff === staff);
  };
  const player = pick("peg", false);
  const staff = pick("staff", true);
  if (player) {
    await rooms.peg.show(player);
    $("tab-peg-name").textContent = player.name;
  }
  if (staff) await rooms.staff.show(staff);
  $("staff").hidden = !staff;
  pane(player ? "wall" : "staff");
  drawPegs();
  drawStaff();
  document.body.dataset.ready = "yes";
}

begin().catch((e) => trouble(e.message, true));
