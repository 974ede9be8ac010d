// Counts what each frame of the page costs: `writes` to the document, `renders` that were asked for from within it, and `ms` of the
// main thread from its begin until it is painted. Runs before the page's own scripts.
//
// Yew renders components in a microtask, which a frame that writes its nodes itself never queues; what is kept in the
// database queues its own from timers and events, outside of frames.
globalThis.frameCosts = (() => {
  const costs = { total: 0, list: [], of: null };
  const ask = requestAnimationFrame.bind(globalThis);
  const later = queueMicrotask.bind(globalThis);
  const channel = new MessageChannel();
  let now = null;
  let depth = 0;
  globalThis.queueMicrotask = (task) => {
    if (depth > 0 && now) now.renders += 1;
    later(task);
  };
  globalThis.requestAnimationFrame = (callback) => ask((time) => {
    depth += 1;
    try {
      callback(time);
    } finally {
      depth -= 1;
    }
  });
  // A message that is sent when a frame begins comes when it is painted.
  channel.port1.onmessage = ({ data }) => {
    if (data === now?.number) now.ms = performance.now() - now.start;
  };
  const begin = () => {
    costs.total += 1;
    now = { number: costs.total, start: performance.now(), writes: 0, renders: 0, ms: null };
    costs.list.push(now);
    if (costs.list.length > 1000) costs.list.shift();
    channel.port2.postMessage(costs.total);
    ask(begin);
  };
  ask(begin);
  new MutationObserver((records) => {
    if (now) now.writes += records.length;
  }).observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
  // The costs of the frames to come, this many.
  costs.of = async (count) => {
    const from = costs.total;
    while (costs.total <= from + count) await new Promise((done) => setTimeout(done, 20));
    return costs.list.filter(({ number }) => number > from && number <= from + count);
  };
  return costs;
})();
