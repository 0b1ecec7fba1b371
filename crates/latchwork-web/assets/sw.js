// On this machine (and wherever else a browser allows it) the page at the machine opens even when the workshop does not
// answer: it is kept here as it was last seen. What was counted is kept by the page itself. A page and its scripts
// belong to one program: what changes them changes this name.
const KEPT = 'latchwork-2';
const LOOKS = ['/look.css', '/cue.css', '/machine.js', '/counting.js', '/aids.js', '/awake.js', '/voice.js', '/serif-regular.woff2', '/serif-italic.woff2', '/serif-semibold.woff2'];
const wanted = (url) => LOOKS.includes(url.pathname) || (/^\/d\/[^/]+\/machine$/.test(url.pathname) && url.searchParams.has('size')) || /^\/fabrics\/\d+$/.test(url.pathname);
self.addEventListener('install', (e) => e.waitUntil(caches.open(KEPT).then((c) => c.addAll(LOOKS)).then(() => self.skipWaiting())));
self.addEventListener('activate', (e) => e.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
  await self.clients.claim();
})()));
// A page that was opened while this was being made ready asks to be served, and kept, as well.
self.addEventListener('message', (e) => e.waitUntil(Promise.all([
  self.clients.claim(),
  ...e.data.filter((url) => wanted(new URL(url))).map((url) => caches.open(KEPT).then((c) => c.add(url)).catch(() => { /* kept when it is next seen */ })),
])));
self.addEventListener('fetch', (e) => {
  if (e.request.method !== 'GET' || !wanted(new URL(e.request.url))) return;
  e.respondWith((async () => {
    const kept = await caches.open(KEPT);
    try {
      const answer = await fetch(e.request, { signal: AbortSignal.timeout(4000) });
      if (answer.ok) await kept.put(e.request, answer.clone());
      return answer;
    } catch (gone) {
      const found = await kept.match(e.request);
      if (found) return found;
      throw gone;
    }
  })());
});
