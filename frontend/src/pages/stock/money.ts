/** money writes hundredths of the group's money as a bare number: the group knows its currency. */
export function money(hundredths: number): string {
  return (hundredths / 100).toFixed(2).replace(/\B(?=(\d{3})+\.)/g, "\u202F");
}
