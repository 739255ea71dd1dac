/* A slider beside a number: it writes into the field, and follows what is typed there. The field
   alone works without this script; the slider is never sent. */

const number = (text) => Number(text.trim().replace(",", "."));

function couple(slider) {
  const field = document.getElementById(slider.dataset.slides);
  if (!field) return;
  slider.hidden = false;
  slider.addEventListener("input", () => {
    field.value = slider.value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
  field.addEventListener("input", (event) => {
    if (event.isTrusted && field.value.trim() && Number.isFinite(number(field.value))) {
      slider.value = number(field.value);
    }
  });
}

document.querySelectorAll("input[data-slides]").forEach(couple);
