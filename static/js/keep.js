/* Keeps what was typed until the server says that it is saved.

   A form with data-keep="TOKEN" is copied to this browser's storage while somebody types. When Save
   was pressed and no answer came (the session had ended, the server was gone), the next form at
   the same address gets the entries and the token back, so that a post that did arrive is not saved
   twice. An entry that nobody tried to save comes back in the same tab only: the next person at a
   shared tablet must not find the numbers of the one before. */

const STORE = "sillpond.kept.";
const KEEPS_MS = 12 * 60 * 60 * 1000;

function tab() {
  let id = sessionStorage.getItem("sillpond.tab");
  if (!id) {
    id = String(Math.random()).slice(2);
    sessionStorage.setItem("sillpond.tab", id);
  }
  return id;
}

const place = (form) => STORE + new URL(form.getAttribute("action") || "", location.href).pathname;

function keepable(control) {
  return control.name && control.name !== "csrf_token" && !control.disabled
    && !["password", "file", "submit", "button", "reset", "hidden"].includes(control.type);
}

function read(form) {
  const values = {};
  for (const control of form.elements) {
    if (!keepable(control)) continue;
    if (["radio", "checkbox"].includes(control.type)) {
      values[control.name] ??= [];
      if (control.checked) values[control.name].push(control.value);
    } else {
      values[control.name] = [control.value];
    }
  }
  return values;
}

function fill(form, values) {
  for (const control of form.elements) {
    const kept = keepable(control) ? values[control.name] : undefined;
    if (!kept) continue;
    if (["radio", "checkbox"].includes(control.type)) control.checked = kept.includes(control.value);
    else control.value = kept[0];
  }
}

function load(key) {
  try {
    const kept = JSON.parse(localStorage.getItem(key));
    if (kept && Date.now() - kept.at < KEEPS_MS) return kept;
  } catch { /* not ours, or broken: as if nothing was kept */ }
  localStorage.removeItem(key);
  return null;
}

function tell(form, kept) {
  const line = document.createElement("div");
  line.className = "flash flash-not-saved kept";
  line.setAttribute("role", "status");
  const words = document.createElement("p");
  const time = new Date(kept.at).toLocaleTimeString([], { hour: "numeric", minute: "2-digit" });
  words.textContent = `Not saved yet. This was written at ${time}. Check it, then press Save.`;
  const drop = document.createElement("button");
  drop.type = "button";
  drop.className = "link";
  drop.textContent = "Start again";
  drop.addEventListener("click", () => { localStorage.removeItem(place(form)); location.reload(); });
  line.append(words, drop);
  form.before(line);
}

function keep(form) {
  const key = place(form);
  const tokenField = form.elements.namedItem(form.dataset.tokenName || "token");
  const kept = load(key);
  // the same token again means that the server itself sent the entries back, with its questions
  if (kept && kept.token !== form.dataset.keep && (kept.sent || kept.tab === tab())) {
    fill(form, kept.values);
    if (tokenField) tokenField.value = kept.token;
    tell(form, kept);
  }
  const token = () => (tokenField ? tokenField.value : form.dataset.keep);
  const store = (sent) => localStorage.setItem(key, JSON.stringify(
    { token: token(), values: read(form), at: Date.now(), tab: tab(), sent },
  ));
  form.addEventListener("input", () => store(false));
  // a button that saves nothing keeps it for this tab only
  form.addEventListener("submit", (event) => store(!event.submitter?.hasAttribute("data-stay")));
  form.querySelectorAll("[data-leave]").forEach((link) => link.addEventListener("click", () => localStorage.removeItem(key)));
}

function forget(token) {
  for (const key of Object.keys(localStorage)) {
    if (key.startsWith(STORE) && load(key)?.token === token) localStorage.removeItem(key);
  }
}

try {
  document.querySelectorAll("[data-saved-token]").forEach((mark) => forget(mark.dataset.savedToken));
  document.querySelectorAll("form[data-keep]").forEach(keep);
} catch { /* storage is closed to this page: nothing is kept, all else works */ }
