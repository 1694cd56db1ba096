/* What the pages do in the browser without asking the server. */

window.dash_clientside = window.dash_clientside || {};

(function () {
  /* The framework puts the caret of a line back a moment after each letter, to where it
     was then. Who types faster than the machine draws had letters in another order. */
  const put = HTMLInputElement.prototype.setSelectionRange;
  HTMLInputElement.prototype.setSelectionRange = function (...where) {
    if (!this.classList.contains("dash-input-element")) put.apply(this, where);
  };

  /* Drawings are as wide as the window; paper is narrower. */
  const PAPER_PX = 660;
  const redraw = (size) => {
    document.querySelectorAll(".drawing .js-plotly-plot").forEach((drawn) => {
      if (size === null || drawn.offsetWidth > PAPER_PX) {
        window.Plotly.relayout(drawn, { width: size, autosize: size === null });
      }
    });
  };
  window.addEventListener("beforeprint", () => redraw(PAPER_PX));
  window.addEventListener("afterprint", () => redraw(null));

  /* The framework's field for a file has no name of its own; its label's words name it. */
  new MutationObserver(() => {
    document.querySelectorAll("input[type=file]:not([aria-label])").forEach((field) => {
      const holder = field.closest("[id]");
      const label = holder && document.querySelector(`label[for=${CSS.escape(holder.id)}]`);
      if (label) field.setAttribute("aria-label", label.textContent);
    });
  }).observe(document, { childList: true, subtree: true });

  let isThere = false;

  window.dash_clientside.underprop = {
    /* The title of the window, and the page's name for screen readers. Whoever came
       by a link is put at the beginning of the page: the link may be gone. */
    title: function (title) {
      document.title = title ? title + " · Underprop" : "Underprop";
      if (isThere) {
        document.getElementById("page").focus({ preventScroll: true });
      }
      isThere = Boolean(title);
      return title || "";
    },

    /* Keep the words of the register's search in its address. */
    search: function (text) {
      const address = new URL(window.location.href);
      if ((address.searchParams.get("q") || "") !== (text || "")) {
        address.searchParams.delete("page");
      }
      if (text) {
        address.searchParams.set("q", text);
      } else {
        address.searchParams.delete("q");
      }
      window.history.replaceState(window.history.state, "", address);
      return "";
    },
  };
})();
