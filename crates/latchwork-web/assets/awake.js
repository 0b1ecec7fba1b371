// Keeps the screen on: by the browser's wake lock where it has one, and on a plain address by a picture of nothing with
// a silent sound track, as large as the page and started by the first touch (a lone page may not start it itself).
let by = '', video = null, told = () => {};
export const awakeBy = () => by;
function is(now) { if (by !== now) { by = now; told(); } }
export async function stayAwake(changed) {
  told = changed || told;
  if (navigator.wakeLock) {
    try {
      const lock = await navigator.wakeLock.request('screen');
      lock.addEventListener('release', () => is(''));
      return is('lock');
    } catch { /* nothing of it here: the picture may do */ }
  }
  if (!video) await filmed();
}
async function filmed() {
  video = document.createElement('video');
  const kind = video.canPlayType('video/mp4; codecs="avc1.42E01E, mp4a.40.2"') ? 'mp4' : 'webm';
  try {
    // Kept as a whole, so that it plays on when the workshop is away.
    video.src = URL.createObjectURL(await (await fetch(`/awake.${kind}`)).blob());
  } catch { video = null; return; }
  Object.assign(video, { className: 'awake', playsInline: true, tabIndex: -1, ariaHidden: 'true', disableRemotePlayback: true });
  // Played to its end it would let go; begun again by the browser it may count as short. So it is sought back.
  video.ontimeupdate = () => { if (video.currentTime > 12) video.currentTime = Math.random(); };
  video.onplaying = () => is('video');
  video.onpause = () => { is(''); if (document.visibilityState === 'visible') play(); };
  document.body.append(video);
  for (const touch of ['pointerup', 'keydown']) addEventListener(touch, play);
}
function play() { if (video && by === '') video.play().catch(() => is('')); }
