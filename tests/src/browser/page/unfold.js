// Opens every part of the sheet that can be folded away, and the drawer of a narrow screen.
(() => {
  document.querySelectorAll('main details:not([open]) > summary').forEach((summary) => summary.click());
  const handle = document.querySelector('.split-handle[aria-expanded="false"]');
  if (handle?.checkVisibility()) handle.click();
  return true;
})()
