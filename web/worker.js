// The worker: the same WebAssembly module as the page. Its start function sees that the global scope is a worker's and
// listens for messages instead of rendering. What arrives before it listens is kept here and handed over.
import init from './sealin.js';

const early = [];
const keep = (event) => early.push(event.data);
addEventListener('message', keep);
await init();
removeEventListener('message', keep);
for (const data of early) {
  dispatchEvent(new MessageEvent('message', { data }));
}
