"use strict";
// The device's own position, typed into the form; it is sent nowhere else.
(() => {
  const field = document.getElementById("place");
  const line = document.getElementById("here");
  if (!field || !line || !navigator.geolocation) return;
  const told = document.getElementById("located");
  line.hidden = false;
  document.getElementById("locate").addEventListener("click", () => {
    told.textContent = "Looking …";
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        field.value = `${coords.latitude.toFixed(6)}, ${coords.longitude.toFixed(6)}`;
        told.textContent = `Found, within about ${Math.round(coords.accuracy)} m.`;
        field.dispatchEvent(new Event("change", { bubbles: true }));
      },
      (error) => {
        told.textContent = error.code === 1
          ? "The browser doesn't let this page know. Allow it, or type the coordinates."
          : "No position was found here. Type the coordinates.";
      },
      { enableHighAccuracy: true, timeout: 20000, maximumAge: 60000 },
    );
  });
})();
