/* What the pages do in the browser without asking the server. */

window.dash_clientside = window.dash_clientside || {};

(function () {
  const RANKS = ["make safe", "act", "watch", "holding", "not assessed", "removed"];
  const NARROW = "(max-width: 45rem)";

  window.dash_clientside.underprop = {
    /* The title of the window, and the page's name for screen readers. */
    title: function (title) {
      document.title = title ? title + " · Underprop" : "Underprop";
      return title || "";
    },

    /* Filter the register as one types, keep the words in the address, and show one
       column of words instead of many on a narrow screen. */
    search: function (text, columns, given) {
      const address = new URL(window.location.href);
      if (text) {
        address.searchParams.set("q", text);
      } else {
        address.searchParams.delete("q");
      }
      window.history.replaceState(window.history.state, "", address);
      const narrow = window.matchMedia(NARROW).matches;
      const shown = columns.map(function (column) {
        return Object.assign({}, column, { hide: (column.field === "all") !== narrow });
      });
      const options = {
        quickFilterText: text || "",
        rowHeight: narrow ? undefined : 54,
        headerHeight: narrow ? 0 : 44,
        cacheQuickFilter: true,
        includeHiddenColumnsInQuickFilter: true,
        enableCellTextSelection: true,
        suppressCellFocus: false,
        animateRows: false,
        suppressMovableColumns: true,
        tooltipShowDelay: 400,
        domLayout: given.domLayout,
        suppressNoRowsOverlay: true,
      };
      return [options, shown];
    },

    /* How many supports the search left. */
    shown: function (left, all) {
      if (!left || !all || left.length === all.length) {
        return "";
      }
      if (left.length === 0) {
        return "No support fits these words.";
      }
      return left.length === 1 ? "1 support fits." : left.length + " supports fit.";
    },
  };

  /* Standing is ordered by gravity, not by the alphabet. */
  const functions = (window.dashAgGridFunctions = window.dashAgGridFunctions || {});
  functions.byStanding = function (a, b) {
    return RANKS.indexOf(a) - RANKS.indexOf(b);
  };

  const parts = (window.dashAgGridComponentFunctions =
    window.dashAgGridComponentFunctions || {});
  const make = function () {
    return React.createElement.apply(null, arguments);
  };

  const link = function (row) {
    return make(
      window.dash_core_components.Link,
      { href: row.href, className: "code" },
      row.code
    );
  };

  const standing = function (row) {
    return make(
      "span",
      { className: "standing standing--" + row.slug },
      make("span", { className: "shape shape--" + row.slug }),
      row.standing
    );
  };

  parts.SupportLink = function (props) {
    return link(props.data);
  };

  parts.Standing = function (props) {
    return standing(props.data);
  };

  parts.Day = function (props) {
    const name = props.colDef.field.replace("_iso", "");
    return make("span", { className: "number" }, props.data[name]);
  };

  parts.SupportWords = function (props) {
    const row = props.data;
    const due = row.due ? "Next due " + row.due + "." : "";
    return make(
      "div",
      { className: "support-words" },
      make("div", { className: "support-words-head" }, link(row), standing(row)),
      make("div", null, row.site + ", " + row.tree + ", ", make("i", null, row.species)),
      make("div", { className: "quiet" }, due + " Last looked at: " + row.last + ".")
    );
  };
})();
