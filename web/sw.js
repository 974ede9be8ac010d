// Keeps the bench for use without a network. The version is the hash of all files, the list names each of them; both
// are filled in when the site is built. The page itself comes from the network where there is one, so that an update
// arrives at the next load; everything it names lies in a folder called by its content, and comes from the cache first.
const version = 'sealin-{{version}}';
const files = {{files}};

self.addEventListener('install', (event) => {
  const requests = files.map((file) => new Request(file, { cache: 'reload' }));
  event.waitUntil(caches.open(version).then((cache) => cache.addAll(requests)));
});

// Runs once no page of the older version is open, so nothing is taken from under a bench in use.
self.addEventListener('activate', (event) => {
  const stale = (name) => name.startsWith('sealin-') && name !== version;
  event.waitUntil(
    caches.keys().then((names) => Promise.all(names.filter(stale).map((name) => caches.delete(name)))),
  );
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method !== 'GET' || new URL(request.url).origin !== self.location.origin) {
    return;
  }
  if (request.mode === 'navigate') {
    event.respondWith(fetch(request).catch(() => caches.match('index.html')));
  } else {
    event.respondWith(caches.match(request, { ignoreSearch: true }).then((kept) => kept ?? fetch(request)));
  }
});
