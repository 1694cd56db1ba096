/* What is wrong with the page in sight: words that are cut or lie over one another,
   fields without a name, faint ink, small targets, headings out of order. */
() => {
  const found = [];
  const seen = (e) => {
    const box = e.getBoundingClientRect();
    const style = getComputedStyle(e);
    const head = e.closest("thead");
    if (head && getComputedStyle(head).clipPath !== "none") return false;
    return box.width > 1 && box.height > 1 && style.visibility !== "hidden" &&
      style.display !== "none" && !e.closest(".unseen, [aria-hidden=true], .skip") &&
      (!e.checkVisibility || e.checkVisibility({ checkOpacity: true, contentVisibilityAuto: true }));
  };
  const name = (e) => e.tagName.toLowerCase() + (e.id ? "#" + e.id : "") + (typeof e.className === "string" && e.className ? "." + e.className.split(" ")[0] : "");
  const words = (e) => (e.textContent || "").trim().slice(0, 40);

  if (document.documentElement.scrollWidth > window.innerWidth + 1) {
    found.push("the page is wider than the window: " + document.documentElement.scrollWidth);
  }

  const holders = [];
  for (const e of document.querySelectorAll("body *")) {
    if (!(e instanceof HTMLElement) || !seen(e)) continue;
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own) continue;
    const style = getComputedStyle(e);
    const clips = style.overflowX === "hidden" || style.overflowX === "clip";
    if (clips && e.scrollWidth > e.clientWidth + 1) found.push("cut: " + name(e) + " “" + words(e) + "”");
    if (clips && e.scrollHeight > e.clientHeight + 3 && e.clientHeight > 0) found.push("cut below: " + name(e) + " “" + words(e) + "”");
    if (!e.closest(".js-plotly-plot, .maplibregl-map, .thumb")) holders.push(e);
  }

  const rects = [];
  for (const e of holders) {
    for (const n of e.childNodes) {
      if (n.nodeType !== 3 || !n.textContent.trim()) continue;
      const range = document.createRange();
      range.selectNodeContents(n);
      for (const r of range.getClientRects()) {
        if (r.width > 2 && r.height > 2) rects.push([r, e, n.textContent.trim().slice(0, 30)]);
      }
    }
  }
  rects.sort((a, b) => a[0].top - b[0].top);
  for (let i = 0; i < rects.length; i++) {
    for (let j = i + 1; j < rects.length && rects[j][0].top < rects[i][0].bottom; j++) {
      const [a, ea, ta] = rects[i], [b, eb, tb] = rects[j];
      if (ea === eb || ea.contains(eb) || eb.contains(ea)) continue;
      const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (wide > 3 && high > 5) found.push("over one another: “" + ta + "” and “" + tb + "”");
    }
  }

  for (const e of document.querySelectorAll("input:not([type=hidden]), select, textarea, button, a[href]")) {
    if (!seen(e)) continue;
    const label = (e.labels && [...e.labels].map((l) => l.textContent).join("")) ||
      e.getAttribute("aria-label") || e.getAttribute("title") || e.textContent ||
      (e.getAttribute("aria-labelledby") || "").split(" ").map((k) => (document.getElementById(k) || {}).textContent || "").join("") ||
      (e.querySelector("img[alt]") || {}).alt;
    if (!(label || "").trim()) found.push("no name: " + name(e));
  }
  for (const e of document.querySelectorAll("img:not([alt])")) found.push("no alternative: " + name(e));
  for (const e of document.querySelectorAll("input[type=text], input[type=search], button:not(.dash-dropdown *):not(.dash-datepicker-content *)")) {
    if (!seen(e) || e.closest(".maplibregl-map, .js-plotly-plot")) continue;
    const high = e.getBoundingClientRect().height;
    if (high < 43.5 && e.closest("main, .door, .leave")) found.push("low: " + name(e) + " " + high.toFixed(0) + " px");
  }

  const ids = [...document.querySelectorAll("[id]")].map((e) => e.id);
  for (const id of new Set(ids.filter((k, i) => ids.indexOf(k) !== i))) found.push("twice: #" + id);
  if (document.querySelectorAll("main").length !== 1) found.push("not one main");
  const levels = [...document.querySelectorAll("main h1, main h2, main h3, main h4")].filter(seen).map((e) => +e.tagName[1]);
  if (levels.filter((n) => n === 1).length !== 1) found.push("not one h1: " + levels);
  levels.forEach((n, i) => { if (i && n - levels[i - 1] > 1) found.push("a heading level is left out"); });

  const parts = (c) => (c.match(/[\d.]+/g) || [0, 0, 0, 0]).map(Number);
  const light = (c) => {
    const [r, g, b] = parts(c).map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const under = (e) => {
    for (let p = e; p; p = p.parentElement) {
      const c = parts(getComputedStyle(p).backgroundColor);
      if (c.length < 4 || c[3] > 0.99) return getComputedStyle(p).backgroundColor;
    }
    return getComputedStyle(document.body).backgroundColor;
  };
  const faint = new Set();
  for (const e of holders) {
    const a = light(getComputedStyle(e).color), b = light(under(e));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) faint.add("faint: " + name(e) + " “" + words(e) + "” " + ratio.toFixed(1));
  }
  return [...new Set([...found, ...faint])];
}
