/* Targets below 44 px, words below a contrast, and what is too wide at 200 % text. */
(least) => {
  const shown = (selector) =>
    [...document.querySelectorAll(selector)].filter(
      (one) => one.checkVisibility() && !one.matches(".unseen, .skip")
    );
  const named = (one, value) => one.outerHTML.slice(0, 70) + " " + value;
  const box = (one) => one.getBoundingClientRect();

  const targets = "a, button, input, select, textarea, summary, label.button";
  const small = shown(targets)
    .filter((one) => box(one).height < 43.5 || box(one).width < 43.5)
    .map((one) => named(one, box(one).width + " x " + box(one).height));

  const numbers = (text) => text.match(/[\d.]+/g).map(Number);
  const linear = (c) =>
    c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4;
  const light = ([r, g, b]) =>
    0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
  const behind = (one) => {
    const colour = numbers(getComputedStyle(one).backgroundColor);
    const isSolid = colour.length < 4 || colour[3] > 0;
    return isSolid || !one.parentElement ? colour : behind(one.parentElement);
  };
  const contrast = (one) => {
    const two = [light(numbers(getComputedStyle(one).color)), light(behind(one))];
    return (Math.max(...two) + 0.05) / (Math.min(...two) + 0.05);
  };
  const words = ".reading label, .before, .before b, input.number, .sign, select, #saved";
  const pale = shown(words)
    .filter((one) => contrast(one) < least)
    .map((one) => named(one, contrast(one)));

  document.documentElement.style.fontSize = "200%";
  const edge = document.documentElement.clientWidth + 1;
  const wide = shown("main *, header *")
    .filter((one) => box(one).right > edge)
    .map((one) => named(one, box(one).right));
  return { small, pale, wide };
}
