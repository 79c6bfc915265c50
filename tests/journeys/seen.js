// What a person meets on the page that is shown: each question answers with places, in a few words each.
(() => {
  const PRESSED = "a[href], button, summary, select, textarea, input:not([type=hidden]), [role=button], [tabindex='0']";

  const shown = (thing) => thing.checkVisibility({ opacityProperty: true, visibilityProperty: true, contentVisibilityAuto: true })
    && !thing.closest("[inert], .unseen") && !within(thing, (style) => style.clipPath === "inset(50%)");
  const box = (thing) => thing.getBoundingClientRect();
  const words = (thing) => (thing.getAttribute("aria-label") || thing.innerText || thing.name || "").trim().replace(/\s+/g, " ").slice(0, 40);
  const told = (thing, more = "") =>
    `<${thing.localName}${thing.id ? ` #${thing.id}` : ""}${thing.classList.length ? ` .${[...thing.classList].join(".")}` : ""}> “${words(thing)}” ${more}`.trim();
  const within = (thing, test) => {
    for (let at = thing; at; at = at.parentElement) if (test(getComputedStyle(at), at)) return at;
    return null;
  };
  // What scrolls by itself sideways may be as wide as it likes.
  const scrolls = (thing) => within(thing.parentElement, (style) => ["auto", "scroll"].includes(style.overflowX));
  const stays = (thing) => within(thing, (style) => ["fixed", "sticky"].includes(style.position));

  // An input lies in its label: a press anywhere there counts.
  const target = (thing) => (["checkbox", "radio", "file"].includes(thing.type) && thing.closest("label")) || thing;

  function sideways() {
    const root = document.documentElement;
    if (root.scrollWidth <= innerWidth) return [];
    const wide = [...document.body.querySelectorAll("*")].filter((thing) => shown(thing) && !scrolls(thing) && box(thing).right > innerWidth + 1);
    const inner = wide.filter((thing) => !wide.some((other) => other !== thing && thing.contains(other)));
    return [`${root.scrollWidth} px wide: ${inner.slice(0, 3).map((thing) => told(thing)).join("; ")}`];
  }

  // Letters beyond the edge of what hides the rest, or of the button they name.
  function cut() {
    const places = new Set();
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const holder = walk.currentNode.parentElement;
      if (!walk.currentNode.data.trim() || holder.closest("svg, option, noscript, script, style, textarea") || !shown(holder)) continue;
      const range = document.createRange();
      range.selectNodeContents(walk.currentNode);
      const frame = within(holder, (style, at) => style.overflowX !== "visible" || style.overflowY !== "visible" || at.matches("button, .button, .choice-word, th, td, label"));
      if (!frame || ["BODY", "HTML"].includes(frame.tagName)) continue;
      const style = getComputedStyle(frame);
      if (style.textOverflow === "ellipsis" || style.webkitLineClamp !== "none" || /auto|scroll/.test(style.overflowX + style.overflowY) || style.display === "inline") continue;
      const edge = box(frame);
      if ([...range.getClientRects()].some((line) => line.width > 1 && (line.right > edge.right + 2 || line.left < edge.left - 2 || line.bottom > edge.bottom + 5 || line.top < edge.top - 5)))
        places.add(told(frame));
    }
    return [...places];
  }

  // Words over words: lines of text that lie on one another.
  function overlaps() {
    const lines = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const node = walk.currentNode;
      const holder = node.parentElement;
      if (!node.data.trim() || !shown(holder) || holder.closest("svg, option, noscript, script, style, textarea") || stays(holder)) continue;
      const clip = within(holder, (style) => style.overflowX !== "visible" || style.overflowY !== "visible");
      const bounds = clip && clip !== document.body && clip !== document.documentElement ? box(clip) : null;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const rect of range.getClientRects()) {
        if (rect.width < 2 || rect.height < 2) continue;
        if (bounds && (rect.right > bounds.right + 1 || rect.bottom > bounds.bottom + 1 || rect.left < bounds.left - 1 || rect.top < bounds.top - 1)) continue;
        lines.push({ rect, holder });
      }
    }
    lines.sort((one, other) => one.rect.top - other.rect.top);
    const places = [];
    for (let i = 0; i < lines.length; i += 1) {
      for (let j = i + 1; j < lines.length && lines[j].rect.top < lines[i].rect.bottom; j += 1) {
        const [one, other] = [lines[i], lines[j]];
        if (one.holder === other.holder) continue;
        const across = Math.min(one.rect.right, other.rect.right) - Math.max(one.rect.left, other.rect.left);
        const down = Math.min(one.rect.bottom, other.rect.bottom) - Math.max(one.rect.top, other.rect.top);
        // A line's box is taller than its letters.
        if (across > 3 && down > 0.45 * Math.min(one.rect.height, other.rect.height))
          places.push(`${told(one.holder)} over ${told(other.holder)} by ${Math.round(across)}×${Math.round(down)}`);
      }
    }
    return places;
  }

  // What a thumb must hit; a link within a sentence is as high as its line (WCAG 2.2, 2.5.8: inline).
  function small(least = 44) {
    const places = [];
    for (const thing of document.querySelectorAll(PRESSED)) {
      const pressed = target(thing);
      if (!shown(pressed) || thing.disabled || thing.matches("[tabindex='0']:not(a, button, input, select, summary, textarea, [role])")) continue;
      const style = getComputedStyle(pressed);
      const inline = style.display === "inline" && [...pressed.parentElement.childNodes].some((node) => node !== pressed && node.textContent.trim());
      if (inline) continue;
      if (pressed.closest("svg")) continue;
      let [line] = pressed.getClientRects();
      if (!line || line.width < 1 || line.height < 1 || (line.width >= least - 0.5 && line.height >= least - 0.5)) continue;
      // Clear of the bars that stay at the top and under the thumb.
      pressed.scrollIntoView({ block: "center", inline: "center" });
      [line] = pressed.getClientRects();
      const middle = { x: line.x + line.width / 2, y: line.y + line.height / 2 };
      const reach = least / 2 - 1;
      const tries = [[reach, 0], [-reach, 0]].filter(() => line.width < least - 0.5).concat([[0, reach], [0, -reach]].filter(() => line.height < least - 0.5));
      const missed = tries.some(([x, y]) => {
        const hit = document.elementFromPoint(middle.x + x, middle.y + y);
        return !hit || !(pressed.contains(hit) || thing.labels && [...thing.labels].some((label) => label.contains(hit)));
      });
      if (missed) places.push(told(pressed, `${Math.round(line.width)}×${Math.round(line.height)}`));
    }
    return places;
  }

  // How the place where the keyboard stands looks; asked with and without focus.
  const PARTS = ["outlineStyle", "outlineWidth", "outlineColor", "boxShadow", "backgroundColor", "borderColor", "textDecorationLine", "textDecorationThickness", "clipPath", "stroke", "strokeWidth", "opacity"];
  const look = (thing) => {
    // A mark may lie on what holds the thing, as on a whole card, on a part of it, or on the word beside an unseen box.
    const around = [thing, ...thing.children, thing.nextElementSibling, thing.previousElementSibling, thing.closest("label")?.querySelector("span")];
    for (let at = thing.parentElement; at && at !== document.body && around.length < 20; at = at.parentElement) around.push(at);
    return around.filter(Boolean).map((part) => { const style = getComputedStyle(part); return PARTS.map((name) => style[name]).join("|"); }).join("\n");
  };

  function focused() {
    const thing = document.activeElement;
    if (!thing || thing === document.body) return null;
    const with_ = look(thing);
    const at = box(target(thing));
    // Of what is taller than the screen the keyboard shows a part: that part is looked at.
    const tall = at.height > innerHeight / 2;
    const middle = (Math.max(at.top, 0) + Math.min(at.bottom, innerHeight)) / 2;
    const inside = { x: Math.min(Math.max(at.x + at.width / 2, 1), innerWidth - 1), y: tall ? middle : Math.min(Math.max(at.y + Math.min(at.height / 2, 12), 1), innerHeight - 1) };
    const onTop = document.elementFromPoint(inside.x, inside.y);
    const hidden = at.bottom < 0 || at.top > innerHeight || (onTop && !target(thing).contains(onTop) && !onTop.contains(thing) && stays(onTop) && !stays(thing));
    const index = window.__stops?.get(thing);
    window.__stops ??= new Map();
    // A date is several stops in one box.
    const within_ = thing === window.__last;
    window.__last = thing;
    if (index !== undefined) return { again: true, within: within_ };
    window.__stops.set(thing, window.__stops.size);
    window.__looks ??= [];
    window.__looks.push([thing, with_]);
    return { hidden: hidden ? told(thing, `under ${onTop ? told(onTop) : "the edge"}`) : "" };
  }

  function unmarked() {
    document.activeElement?.blur();
    return (window.__looks ?? []).filter(([thing, with_]) => thing.isConnected && look(thing) === with_).map(([thing]) => told(thing));
  }

  function unreached() {
    const stops = window.__stops ?? new Map();
    // Coming back from the browser's own buttons, a list may be asked for anew: what it replaced was the stop.
    const gone = new Set([...stops.keys()].filter((stop) => !stop.isConnected).map((stop) => stop.outerHTML));
    return [...document.querySelectorAll(PRESSED)].filter((thing) => {
      if (!shown(target(thing)) || thing.disabled || thing.tabIndex < 0 || stops.has(thing) || gone.has(thing.outerHTML)) return false;
      // Of one question's answers the keyboard stops at one; the arrows lead to the others.
      return !(thing.type === "radio" && [...document.querySelectorAll(`input[type=radio][name="${CSS.escape(thing.name)}"]`)].some((other) => other.form === thing.form && stops.has(other)));
    }).map((thing) => told(thing));
  }

  const moving = () => document.getAnimations().filter((one) => one.playState === "running").map((one) => told(one.effect.target));

  window.__seen = { sideways, cut, overlaps, small, focused, unmarked, unreached, moving };
})();
