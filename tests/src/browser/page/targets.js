// What can be pressed on the page, with its size in CSS pixels: `{ what, name, inline, drawn, width, height }`. An expression; it reads the
// page and changes nothing.
(() => {
  const kinds = 'a[href], button, input, select, textarea, summary, [tabindex], [role="button"], [role="switch"], [role="tab"]';
  const all = [...document.querySelectorAll(kinds)].filter((element) => {
    // What is passive (a region that scrolls, the drawing) has the focus only to be read.
    if (element.matches('main, nav, [role="region"], [tabindex="-1"]:not(button, [role])')) return false;
    if (element.closest('.frame-skip, .visually-hidden, [inert]')) return false;
    return !element.disabled && element.checkVisibility({ visibilityProperty: true });
  });
  return all.map((element) => {
    // A tick is hit on its words as well.
    const area = element.matches('[type="checkbox"], [type="radio"]') ? element.closest('label') ?? element : element;
    const box = area.getBoundingClientRect();
    const owner = element.closest('[class]');
    return {
      what: `${element.localName}.${(owner?.getAttribute('class') ?? '').split(' ')[0]}`,
      name: (element.getAttribute('aria-label') ?? element.textContent).replace(/\s+/g, ' ').trim().slice(0, 50),
      inline: getComputedStyle(element).display === 'inline',
      drawn: element instanceof SVGElement,
      width: box.width,
      height: box.height,
    };
  }).filter(({ width, height }) => width > 0 && height > 0);
})()
