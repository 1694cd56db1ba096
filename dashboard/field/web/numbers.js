/* A first look at a number as it is typed. The server reads it for good. */

/* The number, if the text is nothing but one; null if it says more, or is unclear:
   "1,250" may be one and a quarter or one thousand two hundred and fifty. */
export function plainNumber(text) {
  const typed = text.trim().replace("−", "-").replace("–", "-");
  if (!/^[+-]?\d+([.,]\d+)?$/.test(typed) || /^[+-]?\d{1,3},\d{3}$/.test(typed)) {
    return null;
  }
  return Number(typed.replace(",", "."));
}

/* Why a number surprises: {measured, low, high, words}, or null if it does not. */
export function surprise(text, unit, reading, quantity) {
  const measured = unit === quantity.unit ? plainNumber(text) : null;
  if (measured === null) {
    return null;
  }
  if (measured < quantity.low || measured > quantity.high) {
    return { measured, low: quantity.low, high: quantity.high, words: "possible" };
  }
  if (reading.low === null || reading.high === null) {
    return null;
  }
  const step = 10 ** -(text.split(/[.,]/)[1] ?? "").length / 2;
  if (measured >= reading.low - step && measured <= reading.high + step) {
    return null;
  }
  return { measured, low: reading.low, high: reading.high, words: "expected" };
}
