// What can be pressed and yet cannot be brought into view, or is covered by something else there; a line each. An expression; it
// scrolls. Parts of a drawing are left out: they may be as small as the drawing is, and are reached by words.
(() => {
  const faults = [];
  for (const element of document.querySelectorAll('a[href], button, input, select, textarea, summary')) {
    if (element.disabled || !element.checkVisibility({ visibilityProperty: true })) continue;
    if (element.closest('.frame-skip, .visually-hidden')) continue;
    element.scrollIntoView({ block: 'center', inline: 'center', behavior: 'instant' });
    const area = element.matches('[type="checkbox"], [type="radio"]') ? element.closest('label') ?? element : element;
    const box = area.getClientRects()[0];
    const top = box && document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    if (!top || !(area.contains(top) || top.closest('label')?.control === element)) {
      const name = (element.getAttribute('aria-label') ?? element.textContent).replace(/\s+/g, ' ').trim().slice(0, 50);
      faults.push(`${element.localName} “${name}” is ${top ? `under ${top.outerHTML.slice(0, 80)}` : 'out of the window'}`);
    }
  }
  return faults;
})()
