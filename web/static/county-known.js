// What is known of a site of the County map, in a box: by a click on its mark, or from the list.

/** Open the box of a site at its place and set the focus into it; it closes by Escape. */
export async function tellKnown(map, address, lngLat) {
  const told = document.createElement('div');
  told.className = 'known-box';
  const answer = await fetch(`${address}?part=box`, {credentials: 'same-origin'});
  if (answer.ok) {
    told.innerHTML = await answer.text();  // our own page, made by the same template as the list
  } else {
    told.textContent = 'This could not be read. Load the page again.';
  }
  const before = document.activeElement;
  const popup = new window.maplibregl.Popup({maxWidth: '22rem', focusAfterOpen: false})
    .setLngLat(lngLat).setDOMContent(told).addTo(map);
  told.addEventListener('keydown', (event) => { if (event.key === 'Escape') popup.remove(); });
  popup.on('close', () => before?.focus?.());
  told.querySelector('h3')?.focus();
}

/** Let each row of the list show its site on the map: the same box, by keyboard. */
export function fromTheList(map, address) {
  for (const button of document.querySelectorAll('button[data-known]')) {
    button.hidden = false;
    button.addEventListener('click', () => {
      const place = [Number(button.dataset.lon), Number(button.dataset.lat)];
      map.jumpTo({center: place, zoom: Math.max(map.getZoom(), 13)});
      map.getContainer().scrollIntoView({block: 'nearest'});
      tellKnown(map, address(button.dataset.known), place);
    });
  }
}
