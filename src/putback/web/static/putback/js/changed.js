// Whether somebody typed, ticked or chose something in a field since the page was shown.

export const isChanged = (field) => {
  if (field.matches("select")) {
    const first = [...field.options].findIndex((each) => each.defaultSelected);
    return field.selectedIndex !== Math.max(first, 0);
  }
  if (field.matches("[type=checkbox], [type=radio]")) return field.checked !== field.defaultChecked;
  return field.value !== field.defaultValue;
};
