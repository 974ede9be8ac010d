// Starts the bench: loads the WebAssembly module that stands beside this file, then keeps the page for use without
// a network. The module's own start function renders, as this is a window and not a worker.
import init from './sealin.js';

try {
  await init();
} catch (error) {
  document.getElementById('failed').hidden = false;
  throw error;
}

// A page opened from a folder has no service workers, nor has one served without encryption from elsewhere.
if (document.getElementById('start').dataset.offline === 'yes' && 'serviceWorker' in navigator) {
  navigator.serviceWorker.register(new URL('../sw.js', import.meta.url)).catch((error) => {
    console.warn('The bench will not be kept for use without a network:', error);
  });
}
