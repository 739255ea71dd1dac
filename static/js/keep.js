/* Keeps what was typed until the server says that it is saved.

   A form with data-keep="TOKEN" is copied to this browser's storage while somebody types, under its
   token: several pages may wait at once. Save first asks whether the server is there. If not, the
   page stays as it is, says so, and sends itself as soon as the server answers again, with the
   moment at which Save was pressed. The token makes one entry of it, however often it arrives. A
   form with data-wait waits in the same way; nothing is typed in it that would have to be kept.

   What is found in the storage later is offered, never put into a form by itself: the next person
   at a shared tablet is not the one before. Whose it is stands beside it; what an adult typed is
   not offered to the tiles. What nobody tried to save is offered in the same tab only. */

const STORE = "sillpond.kept.";
const HOUR_MS = 60 * 60 * 1000;
const KEEPS_MS = { typed: 12 * HOUR_MS, pressed: 7 * 24 * HOUR_MS };
const ASKS_AGAIN_MS = 10 * 1000;
const ANSWERS_WITHIN_MS = 5 * 1000;
const HERE = document.body.dataset.here;

/* Time. The device's own clock may be wrong; only the time that went by since this page came is
   taken from the device: a sleeping one stops one of its clocks, so the one that says more. */

const came = { wall: Date.now(), run: performance.now() };
const passed = () => Math.max(performance.now() - came.run, Date.now() - came.wall);

/* The tank's wall clock now, as the server would write it; null where the page carries none. */
function serverNow(form) {
  const served = form.elements.namedItem("pressed")?.dataset.now;
  if (!served) return null;
  const [zone] = served.match(/(?:Z|[+-]\d\d:\d\d)$/) ?? ["Z"];
  const [, sign, hours, minutes] = zone.match(/([+-])(\d\d):(\d\d)/) ?? [];
  const shift = sign ? Number(`${sign}1`) * (hours * 60 + Number(minutes)) * 60 * 1000 : 0;
  const wall = new Date(Date.parse(served) + passed() + shift);
  return wall.toISOString().slice(0, 19) + zone;
}

/* "8:41 am" of such a moment */
function clock(moment) {
  const [hour, minute] = moment.slice(11, 16).split(":");
  return `${hour % 12 || 12}:${minute} ${hour < 12 ? "am" : "pm"}`;
}

/* Storage */

function tab() {
  let id = sessionStorage.getItem("sillpond.tab");
  if (!id) {
    id = String(Math.random()).slice(2);
    sessionStorage.setItem("sillpond.tab", id);
  }
  return id;
}

function load(key) {
  try {
    const kept = JSON.parse(localStorage.getItem(key));
    if (Date.now() - kept.at < (kept.sent ? KEEPS_MS.pressed : KEEPS_MS.typed)) return kept;
  } catch { /* not ours, or broken: as if nothing was kept */ }
  localStorage.removeItem(key);
  return null;
}

/* All that may be offered on this page, the oldest first. */
function found() {
  return Object.keys(localStorage)
    .filter((key) => key.startsWith(STORE))
    .map(load)
    .filter((kept) => kept?.here === HERE && (kept.sent || kept.tab === tab()))
    .sort((one, other) => one.at - other.at);
}

const forget = (token) => localStorage.removeItem(STORE + token);

/* Forms */

function keepable(control) {
  return control.name && control.name !== "csrf_token" && !control.disabled
    && !["password", "file", "submit", "button", "reset", "hidden"].includes(control.type);
}

const ticks = (control) => ["radio", "checkbox"].includes(control.type);

function read(form) {
  const values = {};
  for (const control of form.elements) {
    if (!keepable(control)) continue;
    values[control.name] ??= [];
    if (!ticks(control) || control.checked) values[control.name].push(control.value);
  }
  return values;
}

function fill(form, values) {
  for (const control of form.elements) {
    const kept = keepable(control) ? values[control.name] : undefined;
    if (!kept) continue;
    const before = ticks(control) ? control.checked : control.value;
    if (ticks(control)) control.checked = kept.includes(control.value);
    else control.value = kept[0] ?? "";
    // its words in the closed line are of what stood there before
    if (before !== (ticks(control) ? control.checked : control.value)) {
      control.closest("details")?.setAttribute("open", "");
    }
  }
}

/* The tile that was chosen: its name as this form offers it, null where it does not. */
function whose(form, values) {
  const chosen = values.hands?.[0];
  if (chosen === undefined) return "";
  const tile = [...form.elements].find((each) => each.name === "hands" && each.value === chosen);
  return tile?.closest("label")?.textContent.trim() ?? null;
}

const pathOf = (form) => new URL(form.getAttribute("action") || "", location.href).pathname;

function button(words, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "link";
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}

/* A line above the form; later words take the place of earlier ones. */
function say(form, words, ...more) {
  const line = form.parentNode.querySelector(":scope > .kept") ?? document.createElement("div");
  const text = document.createElement("p");
  text.textContent = words;
  line.className = "flash flash-not-saved kept";
  line.setAttribute("role", "status");
  line.replaceChildren(text, ...more);
  form.before(line);
  return line;
}

async function answers() {
  try {
    const way = { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout(ANSWERS_WITHIN_MS) };
    await fetch(document.querySelector('link[rel="icon"]').href, way);
    return true;
  } catch {
    return false;
  }
}

function keep(form) {
  const tokenField = form.elements.namedItem("token");
  const pressedField = form.elements.namedItem("pressed");
  let pressed = pressedField?.value || null; // the first time, by the server's clock
  let asking = false;
  let sure = false;
  let timer = 0;

  const token = () => tokenField?.value || form.dataset.keep;
  function store(sent) {
    if (!form.dataset.keep) return;
    const kept = {
      token: token(), path: pathOf(form), page: document.querySelector("h1").textContent.trim(),
      values: read(form), at: Date.now(), written: pressed ?? serverNow(form), pressed, sent,
      tab: tab(), here: HERE,
    };
    try {
      localStorage.setItem(STORE + kept.token, JSON.stringify(kept));
    } catch { /* storage is full or closed: the page itself is all that keeps it */ }
  }

  async function send(submitter) {
    if (asking) return;
    asking = true;
    clearTimeout(timer);
    const saves = !submitter?.hasAttribute("data-stay");
    const waited = pressed;
    if (saves) pressed ??= serverNow(form);
    store(saves); // a button that saves nothing keeps it for this tab only
    const there = await answers();
    asking = false;
    if (there) {
      if (pressedField && saves && waited) pressedField.value = waited;
      sure = true;
      form.requestSubmit(submitter);
      sure = false;
    } else if (saves) {
      say(form, "Not saved yet: there is no connection. Keep this page open. It is sent by itself.");
      timer = setTimeout(send, ASKS_AGAIN_MS, submitter);
      addEventListener("online", () => { if (timer) send(submitter); }, { once: true });
    } else {
      say(form, "There is no connection. Keep this page open, and try again.");
    }
  }

  function changed() {
    store(Boolean(pressed));
    if (!timer) return;
    clearTimeout(timer);
    timer = 0;
    say(form, "Not saved yet. Press Save when it is right.");
  }

  function offer() {
    // the same token again means that the server itself sent the entries back, with its questions
    const kept = found().find((each) => each.path === pathOf(form) && each.token !== token()
      && whose(form, each.values) !== null);
    if (!kept) return;
    const tile = whose(form, kept.values);
    const when = kept.written ? ` at ${clock(kept.written)}` : "";
    const take = button("Show it", () => {
      fill(form, kept.values);
      if (tokenField) tokenField.value = kept.token;
      pressed = kept.pressed;
      say(form, `Not saved yet. This was written${when}. Check it, then press Save.`);
    });
    const drop = button("Throw it away", () => { forget(kept.token); line.remove(); offer(); });
    const line = say(form, `Not saved yet: ${tile ? `${tile} wrote something` : "something was written"}${when}.`, take, drop);
  }

  form.addEventListener("input", changed);
  form.addEventListener("submit", (event) => {
    if (sure) return;
    event.preventDefault();
    send(event.submitter);
  });
  form.querySelectorAll("[data-leave]").forEach((link) => link.addEventListener("click", () => forget(token())));
  if (form.dataset.keep) offer();
}

/* Where a page lists what waits: one link for each. */
function list(place) {
  const waiting = found().filter((kept) => kept.sent);
  for (const kept of waiting) {
    const link = document.createElement("a");
    link.className = "link";
    link.href = kept.path;
    link.textContent = `Not saved yet: ${kept.page}${kept.written ? `, ${clock(kept.written)}` : ""}`;
    place.append(link);
  }
  if (!waiting.length) return;
  place.classList.add("flash", "flash-not-saved");
  place.hidden = false;
}

try {
  document.querySelectorAll("[data-saved-token]").forEach((mark) => forget(mark.dataset.savedToken));
  document.querySelectorAll("a[data-leave]:not([data-leave=''])").forEach(
    (link) => link.addEventListener("click", () => forget(link.dataset.leave)),
  );
  document.querySelectorAll("form[data-keep], form[data-wait]").forEach(keep);
  document.querySelectorAll("[data-unsaved]").forEach(list);
} catch { /* storage is closed to this page: nothing is kept, all else works */ }
