/* Elements, numbers and dates as people read them. */

const DIGITS = { um: 0, kN: 2 };
const SYMBOLS = { um: "µm", deg: "°" };
const THIN = "\u2009";

/* An element with its attributes and what is in it. Text stays text. */
export function el(name, attributes = {}, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) {
      made.addEventListener(key.slice(2), value);
    } else if (value === true) {
      made.setAttribute(key, "");
    } else if (value !== false && value !== null && value !== undefined) {
      made.setAttribute(key, value);
    }
  }
  made.append(...inside.flat().filter((part) => part !== null && part !== ""));
  return made;
}

export function button(words, onclick, attributes = {}) {
  return el("button", { type: "button", ...attributes, onclick }, words);
}

export function choices(options, value, attributes = {}) {
  const made = el(
    "select",
    attributes,
    options.map(([key, words]) => el("option", { value: key }, words))
  );
  made.value = value;
  return made;
}

export function unitWords(unit) {
  return SYMBOLS[unit] ?? unit;
}

export function number(value, unit) {
  const text = Math.abs(value).toFixed(DIGITS[unit] ?? 1);
  return (value < 0 && /[1-9]/.test(text) ? "−" : "") + text;
}

export function measure(value, unit) {
  return number(value, unit) + (unit === "deg" ? "°" : THIN + unitWords(unit));
}

export function span(low, high, unit) {
  return number(low, unit) + " to " + measure(high, unit);
}

export function day(iso) {
  const [year, month, date] = iso.slice(0, 10).split("-").map(Number);
  const written = new Date(Date.UTC(year, month - 1, date));
  return written.toLocaleDateString("en-GB", {
    day: "numeric",
    month: "long",
    year: "numeric",
    timeZone: "UTC",
  });
}

export function clock(instant) {
  return new Date(instant).toLocaleTimeString("en-GB", {
    hour: "2-digit",
    minute: "2-digit",
  });
}

/* The civil date at a site, by the device's clock. */
export function dayAt(instant, timezone) {
  const style = { year: "numeric", month: "2-digit", day: "2-digit" };
  const given = new Intl.DateTimeFormat("en-CA", { ...style, timeZone: timezone });
  return given.format(new Date(instant));
}

export function sentence(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

export function counted(count, one, many = one + "s") {
  return count + " " + (count === 1 ? one : many);
}

export function say(words) {
  document.getElementById("news").textContent = words;
}
