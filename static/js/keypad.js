/* Number keys on the page: they write into the field that has, or last had, the focus. */

const numeric = 'input[inputmode="decimal"], input[inputmode="numeric"]';

function write(input, key) {
  const start = input.selectionStart ?? input.value.length;
  const end = input.selectionEnd ?? start;
  if (key === "back") {
    input.setRangeText("", start === end ? Math.max(0, start - 1) : start, end, "end");
  } else if (key !== "." || !/[.,]/.test(input.value)) {
    input.setRangeText(key, start, end, "end");
  }
  input.dispatchEvent(new Event("input", { bubbles: true }));
}

function open(pad) {
  const form = pad.closest("form");
  let target = document.getElementById(pad.dataset.target);
  if (!form || !target) return;
  pad.hidden = false;
  if (matchMedia("(pointer: coarse)").matches) {
    // one keyboard is enough; the attribute the page came with still tells which fields take numbers
    for (const input of form.querySelectorAll(numeric)) {
      input.dataset.keys = input.inputMode;
      input.inputMode = "none";
    }
  }
  form.addEventListener("focusin", (event) => {
    if (event.target.matches(`${numeric}, input[data-keys]`)) target = event.target;
  });
  pad.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (key) write(target, key.dataset.key);
  });
}

document.querySelectorAll(".keypad[data-target]").forEach(open);
