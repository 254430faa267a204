// The code stands behind the # of the address, which is never sent to a server. It is taken out of the
// address, so that the phone's history does not keep it, and sent as the form is.
const code = decodeURIComponent(location.hash.slice(1));
if (code) {
  history.replaceState(null, '', location.pathname);
  document.getElementById('code').value = code;
  document.getElementById('pair').requestSubmit();
}
