"use strict";
// The live page. It follows the server's events: puts the new page in place of the old one where the reader is, shows
// what does not compile, and lights up what comes from the same line of a file. Text from files is set as text only.
(() => {
  const bar = make("aside", { id: "live", "aria-label": "Live page" });
  const said = make("p", { id: "live-said", role: "status" }, "Connecting …");
  const lit = make("p", { id: "live-lit", role: "status" });
  const next = make("button", { type: "button", hidden: "" }, "Next");
  const clear = make("button", { type: "button", hidden: "" }, "Clear");
  const wrong = make("section", { id: "live-wrong", "aria-label": "What does not compile", hidden: "", tabindex: "0" });
  const line = make("div", { id: "live-line" });
  line.append(said, lit, next, clear);
  bar.append(line, wrong);

  function make(name, attributes, text) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes || {})) made.setAttribute(key, value);
    if (text) made.textContent = text;
    return made;
  }

  // -- what shares a line of a file ------------------------------------------------------------------------------
  // A symbol goes by its own line, the first that it names; a row counts whatever lines it names.

  const SHOWN = "tr[data-at], li[data-at], svg [data-at]";
  let rows = new Map(), symbols = new Map();   // line of a file -> elements
  let pinned = null, source = null, marked = [], partners = [], turn = -1;

  const places = (element) => (element.getAttribute("data-at") || "").split(" ").filter((at) => /:\d+$/.test(at));
  const isSymbol = (element) => element instanceof SVGElement;
  const put = (map, key, element) => map.has(key) ? map.get(key).push(element) : map.set(key, [element]);

  function index() {
    rows = new Map(); symbols = new Map();
    for (const element of document.querySelectorAll(SHOWN)) {
      const at = places(element);
      if (isSymbol(element)) { if (at.length) put(symbols, at[0], element); }
      else for (const place of at) put(rows, place, element);
    }
    for (const svg of document.querySelectorAll("svg")) { // an image has no parts that a reader could reach
      svg.setAttribute("role", "group");
      if (svg.querySelector("title")) svg.setAttribute("aria-label", svg.querySelector("title").textContent);
      rove([...svg.querySelectorAll("g[data-at]")]);
    }
    for (const body of document.querySelectorAll("tbody, ol.findings")) rove([...body.children].filter((e) => e.matches(SHOWN)));
  }

  function rove(elements) { // one stop of the Tab key each; the arrow keys go on from there
    elements.forEach((element, number) => {
      element.setAttribute("tabindex", number ? "-1" : "0");
      if (!isSymbol(element)) return;
      element.setAttribute("role", "button");
      const words = [...element.querySelectorAll("title, text")]; // what it is, the letters in it
      for (const one of words) one.after(" "); // lines of a label are words apart
      const said = words.map((one) => one.textContent);
      element.setAttribute("aria-label", said.join(" ") || "part");
    });
  }

  function related(element) {
    const at = isSymbol(element) ? places(element).slice(0, 1) : places(element);
    const found = new Set();
    for (const place of at) {
      for (const one of symbols.get(place) || []) found.add(one);
      if (isSymbol(element)) for (const one of rows.get(place) || []) found.add(one);
    }
    found.delete(element);
    return [...found];
  }

  function light(element) {
    dark();
    if (!element) return;
    source = element;
    partners = related(element);
    for (const one of [element, ...partners]) {
      one.classList.add("lit");
      if (isSymbol(one) && one.matches("g")) halo(one);
      marked.push(one);
    }
    element.classList.add("lit-from");
  }

  function halo(group) { // like a highlighter on paper: behind the symbol, so that it is seen without colour too
    const box = group.getBBox();
    const made = document.createElementNS("http://www.w3.org/2000/svg", "rect");
    const about = { class: "halo", x: box.x - 4, y: box.y - 4, width: box.width + 8, height: box.height + 8, rx: 3 };
    for (const [key, value] of Object.entries(about)) made.setAttribute(key, value);
    group.prepend(made);
  }

  function dark() {
    for (const one of marked) {
      one.classList.remove("lit", "lit-from");
      if (isSymbol(one)) one.querySelector(":scope > .halo")?.remove();
    }
    marked = []; partners = []; source = null;
  }

  function pin(element) {
    pinned = element; turn = -1;
    light(element);
    const drawn = partners.filter(isSymbol).length, listed = partners.length - drawn;
    const parts = [];
    if (drawn) parts.push(drawn === 1 ? "1 place in the drawings" : `${drawn} places in the drawings`);
    if (listed) parts.push(listed === 1 ? "1 row" : `${listed} rows`);
    lit.textContent = parts.length ? `Lit up: ${parts.join(" and ")}` : "Nothing else comes from this line";
    next.hidden = !partners.length;
    clear.hidden = false;
  }

  function unpin() {
    pinned = null;
    dark();
    lit.textContent = "";
    next.hidden = clear.hidden = true;
  }

  function go(element) {
    for (let e = element.parentElement; e; e = e.parentElement) if (e.matches("details")) e.open = true;
    element.setAttribute("tabindex", "0");
    element.focus({ preventScroll: true });
    element.scrollIntoView({ block: "center", inline: "center" });
  }

  function onward() {
    if (!partners.length) return;
    turn = (turn + 1) % partners.length;
    go(partners[turn]);
  }

  const shown = (event) => event.target instanceof Element ? event.target.closest(SHOWN) : null;
  document.addEventListener("pointerover", (event) => {
    if (event.pointerType === "mouse" && !pinned && shown(event) !== source) light(shown(event));
  });
  document.addEventListener("focusin", (event) => { if (!pinned) light(shown(event)); });
  document.addEventListener("click", (event) => {
    const element = shown(event);
    if (!element || event.target.closest("a, summary") || String(getSelection())) return;
    if (element === pinned) unpin(); else pin(element);
  });
  next.addEventListener("click", onward);
  clear.addEventListener("click", unpin);

  document.addEventListener("keydown", (event) => {
    const element = shown(event);
    if (event.key === "Escape" && pinned) {
      const back = pinned;
      unpin();
      if (element) go(back);
    } else if (element && event.target === element && !event.ctrlKey && !event.altKey && !event.metaKey) {
      if (event.key === "Enter" || event.key === " ") {
        if (!pinned || !(partners.includes(element) || pinned === element)) pin(element);
        if (event.key === "Enter") onward();
      } else if (event.key.startsWith("Arrow")) {
        const home = element.closest("tbody, ol, svg");
        const all = [...home.querySelectorAll("[tabindex][data-at]")];
        const to = all[all.indexOf(element) + (/Down|Right/.test(event.key) ? 1 : -1)];
        if (!to) return;
        for (const one of all) one.setAttribute("tabindex", one === to ? "0" : "-1");
        to.focus();
      } else return;
      event.preventDefault();
    }
  });

  // -- a new page where the reader is ------------------------------------------------------------------------------

  const aboutOf = (element) => // not its line in the file: that moves when one is put in above
    (isSymbol(element) ? element.querySelector("title")?.textContent : element.getAttribute("aria-label") || element.matches("tr, summary") && element.textContent) || "";

  const LATER = ".sheet, #findings"; // laid out when in sight: see the style

  function keys() { // every row, drawing and heading by a name that the next page has too
    const found = new Map(), count = new Map();
    let under = "";
    for (const element of document.querySelectorAll("[id], .sheet, h3, figure, tr[data-at], svg [data-at], .box, summary")) {
      if (bar.contains(element)) continue;
      if (element.matches("h3, .sheet")) under = (element.matches("h3") ? element : element.querySelector("h3"))?.textContent;
      const own = element.id || `${under}|${element.localName}|${aboutOf(element)}`;
      const number = count.get(own) || 0;
      count.set(own, number + 1);
      found.set(`${own}|${number}`, element);
    }
    return found;
  }

  const moved = new WeakSet(); // boxes that were scrolled; to ask them all would lay out what is out of sight
  document.addEventListener("scroll", (event) => { if (event.target instanceof Element) moved.add(event.target); }, true);

  let named = null; // the keys of the page that is shown, where they are known already

  function remember() {
    const known = named || keys(), names = new Map([...known].map(([key, element]) => [element, key]));
    const top = bar.getBoundingClientRect().bottom, place = { focus: names.get(document.activeElement), pin: names.get(pinned) };
    place.open = [...known].filter(([, e]) => e.parentElement?.matches("details")).map(([key, e]) => [key, e.parentElement.open]);
    place.sideways = [...known].filter(([, e]) => moved.has(e)).map(([key, e]) => [key, e.scrollLeft]);
    place.turn = turn;
    place.tall = [...known].filter(([, e]) => e.matches(LATER)).map(([key, e]) => [key, e.getBoundingClientRect().height]);
    // The first few things that are in sight: one of them will still be there.
    place.seen = [];
    const above = new Set([...document.querySelectorAll(LATER)].filter((e) => e.getBoundingClientRect().bottom <= top));
    for (const [key, element] of known) {
      if (above.has(element.closest(LATER)) || isSymbol(element) || element.matches("body, main, section")) continue;
      const box = element.getBoundingClientRect();
      if (box.bottom > top && box.height) place.seen.push([key, box.top]);
      if (place.seen.length >= 12) break;
    }
    place.y = scrollY;
    return place;
  }

  function restore(place) {
    const known = named = keys();
    for (const [key, tall] of place.tall) // what is out of sight is taken to be as tall as it was
      if (known.has(key)) known.get(key).style.containIntrinsicBlockSize = `auto ${tall}px`;
    for (const [key, open] of place.open) if (known.has(key)) known.get(key).parentElement.open = open;
    for (const [key, left] of place.sideways) if (known.has(key)) known.get(key).scrollLeft = left;
    if (known.has(place.pin)) { pin(known.get(place.pin)); turn = place.turn; } else unpin();
    known.get(place.focus)?.focus({ preventScroll: true });
    if (place.y < 4) return scrollTo(0, place.y);
    const anchor = place.seen.find(([key]) => known.has(key));
    if (anchor) scrollBy(0, known.get(anchor[0]).getBoundingClientRect().top - anchor[1]);
    else scrollTo(0, place.y);
  }

  const nameOf = (doc) => doc.querySelector('meta[name="live-page"]')?.content;

  function swap(fresh) {
    const place = remember();
    dark();
    if (nameOf(fresh).endsWith("-part")) { // what is still to come stays as it was at the save before
      const pending = fresh.getElementById("isometrics"), main = fresh.querySelector("main");
      let before = null; // the sections go from last to first, each in front of the one before
      for (const old of [...document.querySelectorAll("main > section[id]")].reverse()) {
        const part = fresh.getElementById(old.id);
        if (part && part !== pending) { before = part; continue; }
        old.classList.add("older");
        if (part) part.replaceWith(old); else main.insertBefore(old, before);
        before = old;
      }
    }
    document.title = fresh.title;
    document.querySelector("head style").textContent = fresh.querySelector("head style").textContent;
    document.querySelector('meta[name="live-page"]').content = nameOf(fresh);
    document.body.replaceChildren(bar, ...[...fresh.body.childNodes].map((node) => document.adoptNode(node)));
    index();
    restore(place);
  }

  let wanted = nameOf(document), fetching = false;
  async function follow() {
    if (fetching) return;
    fetching = true;
    try {
      while (wanted && wanted !== nameOf(document)) {
        const goal = wanted;
        const answer = await fetch("/");
        if (!answer.ok) break;
        const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
        swap(fresh);
        if (goal === wanted) break; // a newer one than was told of is on its way to be told of
      }
    } catch { /* the server is away: its next event comes with the name of its page */ }
    fetching = false;
  }

  // -- events ------------------------------------------------------------------------------------------------------

  function tell(state) {
    const text = state.stale ? `Not compiled: ${state.said}. The page below is from before.` : state.said;
    if (said.textContent !== text) said.textContent = text;
    bar.classList.toggle("stale", state.stale);
    wrong.hidden = !state.mistakes.length;
    wrong.replaceChildren(...state.mistakes.map(mistake));
    if (state.more) wrong.append(make("p", {}, `And ${state.more} more.`));
    wanted = state.page;
    follow();
  }

  function mistake(found) {
    const made = make("article");
    const head = make("p");
    head.append(make("strong", {}, found.severity), ` ${found.place}: ${found.message} [${found.rule}]`);
    made.append(head);
    if (found.excerpt) made.append(make("pre", {}, found.excerpt));
    if (found.help) made.append(make("p", {}, `Mend: ${found.help}`));
    return made;
  }

  document.body.prepend(bar);
  index();
  const events = new EventSource("/events");
  events.addEventListener("state", (event) => { bar.classList.remove("away"); tell(JSON.parse(event.data)); });
  events.addEventListener("error", () => {
    bar.classList.add("away");
    said.textContent = "The server has ended or cannot be reached. The page below is the last one.";
  });
})();
