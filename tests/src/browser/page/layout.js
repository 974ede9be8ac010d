// What a fitter would call badly drawn, one line each: texts on one another, cut texts, texts beside the screen. An
// expression: its value is the list. It reads the page and changes nothing.
(() => {
  const faults = new Set();
  // Least overlap that counts, CSS pixels: less is rounding.
  const SLACK = 1;

  const style = (element) => getComputedStyle(element);
  const shortened = (text) => text.replace(/\s+/g, ' ').trim().slice(0, 60);
  const named = (element) => {
    const owner = element.closest('[class]');
    return `${element.localName}.${(owner?.getAttribute('class') ?? '').split(' ')[0]}`;
  };

  // Text for assistive technology alone takes no place on the screen.
  const forEarsOnly = (element) => element.closest('.visually-hidden, .frame-skip') !== null;
  const shown = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });

  // Boxes that scroll or stay in place while others scroll lie over one another by design; within each, texts must not.
  const layerOf = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const { position, overflowX, overflowY } = style(at);
      if (['fixed', 'sticky'].includes(position)) return { element: at, floats: true };
      if (`${overflowX} ${overflowY}`.match(/auto|scroll/)) return { element: at, floats: false };
    }
    return { element: document.documentElement, floats: false };
  };

  // The part of a rectangle that boxes which hide what reaches out of them leave; with `scrollers` those that scroll too.
  const clipped = (rect, element, scrollers) => {
    let { left, top, right, bottom } = rect;
    for (let at = element; at && at !== document.body; at = at.parentElement) {
      const { overflowX, overflowY } = style(at);
      const hides = (way) => /hidden|clip/.test(way) || (scrollers && /auto|scroll/.test(way));
      const box = at.getBoundingClientRect();
      if (hides(overflowX)) [left, right] = [Math.max(left, box.left), Math.min(right, box.right)];
      if (hides(overflowY)) [top, bottom] = [Math.max(top, box.top), Math.min(bottom, box.bottom)];
    }
    return { left, top, right, bottom };
  };
  const empty = (rect) => rect.right - rect.left <= SLACK || rect.bottom - rect.top <= SLACK;

  // Every line of every text, with the box that its ink can fill: as high as the letters are, without the room that a
  // typeface leaves above and below.
  const lines = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const element = node.parentElement;
    const text = shortened(node.data);
    if (!text || ['SCRIPT', 'STYLE', 'OPTION', 'TITLE', 'title', 'desc'].includes(element.nodeName)) continue;
    if (forEarsOnly(element) || !shown(element)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const layer = layerOf(element);
    for (const whole of range.getClientRects()) {
      const full = ink(element, whole);
      const own = clipped(full, element, false);
      if (!empty(own)) lines.push({ node, element, text, layer, own, seen: clipped(full, element, true) });
    }
  }
  // As high as the letters are. A drawing is scaled, and may turn its words upright.
  function ink(element, whole) {
    const { left, top, right, bottom } = whole;
    const on = element instanceof SVGElement ? element.getScreenCTM() : { a: 1, b: 0 };
    const size = parseFloat(style(element).fontSize) * Math.hypot(on.a, on.b);
    const spare = (room) => Math.max(0, (room - size) / 2);
    if (Math.abs(on.b) > Math.abs(on.a)) {
      const s = spare(right - left);
      return { left: left + s, right: right - s, top, bottom };
    }
    const s = spare(bottom - top);
    return { left, right, top: top + s, bottom: bottom - s };
  }

  // Texts on one another.
  lines.sort((a, b) => a.own.left - b.own.left);
  const overlap = (a, b) =>
    Math.min(a.right, b.right) - Math.max(a.left, b.left) > SLACK &&
    Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > SLACK;
  lines.forEach((a, at) => {
    for (const b of lines.slice(at + 1)) {
      if (b.own.left > a.own.right) break;
      if (a.node === b.node) continue;
      const together = a.layer.element === b.layer.element;
      if (!together && (a.layer.floats || b.layer.floats || empty(a.seen) || empty(b.seen))) continue;
      if (together ? overlap(a.own, b.own) : overlap(a.seen, b.seen)) {
        faults.add(`${named(a.element)} “${a.text}” and ${named(b.element)} “${b.text}” lie on one another`);
      }
    }
  });

  // Cut texts: the box hides a part of what it holds.
  for (const element of new Set(lines.flatMap((line) => ancestors(line.element)))) {
    const { overflowX, overflowY } = style(element);
    const wide = /hidden|clip/.test(overflowX) && element.scrollWidth > element.clientWidth + SLACK;
    const high = /hidden|clip/.test(overflowY) && element.scrollHeight > element.clientHeight + SLACK;
    if (wide || high) faults.add(`${named(element)} cuts “${shortened(element.textContent)}”`);
  }
  function ancestors(element) {
    const list = [];
    for (let at = element; at && at !== document.body; at = at.parentElement) {
      if (at instanceof HTMLElement) list.push(at);
    }
    return list;
  }

  // Words that stick out of their box sideways.
  for (const line of lines) {
    for (const at of ancestors(line.element)) {
      const { display, position, overflowX, whiteSpace } = style(at);
      // Blanks at the end of a line may hang out of such a box, and have no ink.
      if (whiteSpace === 'pre-wrap') break;
      if (display === 'inline' || display === 'contents') continue;
      const box = at.getBoundingClientRect();
      if (line.own.left < box.left - SLACK || line.own.right > box.right + SLACK) {
        if (!/auto|scroll/.test(overflowX)) faults.add(`${named(line.element)} “${line.text}” sticks out of ${named(at)}`);
        break;
      }
      if (/absolute|fixed|sticky/.test(position) || overflowX !== 'visible') break;
    }
  }

  // Beside the screen. What scrolls sideways by design is within its own box.
  const width = document.documentElement.clientWidth;
  for (const line of lines) {
    const scrolls = ancestors(line.element).some(
      (at) => /auto|scroll/.test(style(at).overflowX) && at.scrollWidth > at.clientWidth + SLACK && at.localName !== 'main',
    );
    if (!scrolls && style(line.element).whiteSpace !== 'pre-wrap' && (line.own.right > width + SLACK || line.own.left < -SLACK)) {
      faults.add(`${named(line.element)} “${line.text}” is beside the screen`);
    }
  }
  for (const at of [document.documentElement, document.querySelector('main')]) {
    if (at && at.scrollWidth > at.clientWidth + SLACK) {
      faults.add(`${named(at)} is ${at.scrollWidth} px wide in ${at.clientWidth} px`);
    }
  }
  return [...faults];
})()
