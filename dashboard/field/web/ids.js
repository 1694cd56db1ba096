/* Ids and hashes made on the device. */

/* A UUID of version 7 (RFC 9562): the time in milliseconds, then chance. */
export function newId(now = Date.now()) {
  const bytes = chance(16);
  for (let n = 0; n < 6; n += 1) {
    bytes[n] = Math.floor(now / 2 ** (8 * (5 - n))) % 256;
  }
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = hexOf(bytes);
  return [
    hex.slice(0, 8),
    hex.slice(8, 12),
    hex.slice(12, 16),
    hex.slice(16, 20),
    hex.slice(20),
  ].join("-");
}

/* SHA-256 in hexadecimal. Browsers keep their own from pages without HTTPS. */
export async function sha256(bytes) {
  if (globalThis.crypto && crypto.subtle) {
    return hexOf(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)));
  }
  return hexOf(digest(new Uint8Array(bytes)));
}

export function sha256OfText(text) {
  return sha256(new TextEncoder().encode(text));
}

export function hexOf(bytes) {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function chance(count) {
  const bytes = new Uint8Array(count);
  if (globalThis.crypto && crypto.getRandomValues) {
    return crypto.getRandomValues(bytes);
  }
  return bytes.map(() => Math.floor(Math.random() * 256));
}

const PRIMES = (() => {
  const found = [];
  for (let n = 2; found.length < 64; n += 1) {
    if (found.every((prime) => n % prime)) {
      found.push(n);
    }
  }
  return found;
})();

function fraction(value) {
  return Math.floor((value - Math.floor(value)) * 2 ** 32) | 0;
}

/* FIPS 180-4, sections 4.1.2, 4.2.2, 5 and 6.2. */
export function digest(bytes) {
  const state = PRIMES.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));
  const added = PRIMES.map((prime) => fraction(Math.cbrt(prime)));
  const length = Math.ceil((bytes.length + 9) / 64) * 64;
  const padded = new Uint8Array(length);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setUint32(length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(length - 4, bytes.length << 3);
  const words = new Int32Array(64);
  for (let start = 0; start < length; start += 64) {
    block(view, start, words, added, state);
  }
  const out = new DataView(new ArrayBuffer(32));
  state.forEach((word, n) => out.setInt32(4 * n, word));
  return new Uint8Array(out.buffer);
}

function turned(word, by) {
  return (word >>> by) | (word << (32 - by));
}

function block(view, start, w, added, state) {
  for (let n = 0; n < 16; n += 1) {
    w[n] = view.getInt32(start + 4 * n);
  }
  for (let n = 16; n < 64; n += 1) {
    const a = w[n - 15];
    const b = w[n - 2];
    const s0 = turned(a, 7) ^ turned(a, 18) ^ (a >>> 3);
    const s1 = turned(b, 17) ^ turned(b, 19) ^ (b >>> 10);
    w[n] = (w[n - 16] + s0 + w[n - 7] + s1) | 0;
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let n = 0; n < 64; n += 1) {
    const s1 = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
    const one = (h + s1 + ((e & f) ^ (~e & g)) + added[n] + w[n]) | 0;
    const s0 = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
    const two = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, n) => {
    state[n] = (state[n] + word) | 0;
  });
}
