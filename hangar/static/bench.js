// The response that is drawn follows the control that is moved. Without this, it is chosen in its own field.
document.addEventListener("input", (event) => {
  const shown = document.getElementById("id_response");
  const name = event.target.name || "";
  if (!shown || !name.startsWith("at_")) return;
  const key = name.slice(3);
  if ([...shown.options].some((option) => option.value === key)) shown.value = key;
}, true);
