// What has the focus: `{ name, seen, outline, contrast }`, or null on the page itself. `outline` in CSS pixels, its contrast
// against what lies behind by WCAG 2; `seen` if nothing else lies over its middle. An expression; it changes nothing.
(() => {
  const element = document.activeElement;
  if (!element || element === document.body) return null;
  const channels = (colour) => {
    const [red, green, blue, alpha = 1] = colour.match(/[\d.]+/g).map(Number);
    return { red, green, blue, alpha };
  };
  const luminance = ({ red, green, blue }) => {
    const [r, g, b] = [red, green, blue].map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const style = getComputedStyle(element);
  // A part of a drawing may show it by the stroke of its area, which is not scaled with the drawing.
  const area = style.outlineStyle === 'none' && element instanceof SVGElement ? element.querySelector('rect') : null;
  const stroke = area && getComputedStyle(area);
  const drawn = stroke?.vectorEffect === 'non-scaling-stroke' && stroke.stroke !== 'none';
  // The outline lies around the element, or within it where its offset is negative.
  let behind = parseFloat(style.outlineOffset) < 0 ? element : element.parentElement;
  while (behind && channels(getComputedStyle(behind).backgroundColor).alpha < 1) behind = behind.parentElement;
  const ground = channels(getComputedStyle(behind ?? document.body).backgroundColor);
  const [light, dark] = [luminance(ground), luminance(channels(drawn ? stroke.stroke : style.outlineColor))].sort((a, b) => b - a);
  const box = element.getBoundingClientRect();
  const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
  const owner = element.closest('[class]');
  return {
    name: `${element.localName}.${(owner?.getAttribute('class') ?? '').split(' ')[0]} ${(element.getAttribute('aria-label') ?? element.textContent).replace(/\s+/g, ' ').trim().slice(0, 40)}`,
    seen: top !== null && (element.contains(top) || top.contains(element)),
    outline: drawn ? parseFloat(stroke.strokeWidth) : style.outlineStyle === 'none' ? 0 : parseFloat(style.outlineWidth),
    contrast: (light + 0.05) / (dark + 0.05),
  };
})()
