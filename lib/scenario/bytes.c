// UTF-8 after RFC 3629, and the characters that have no place in a scenario.
#include "scenario/bytes.h"

// Bytes that follow a first byte, and the smallest value that needs so many.
static int follow(unsigned char first, unsigned *value, unsigned *least)
{
  if (first < 0x80) return *value = first, *least = 0, 0;
  if (first >= 0xc2 && first < 0xe0) return *value = first & 0x1f, *least = 0x80, 1;
  if (first >= 0xe0 && first < 0xf0) return *value = first & 0x0f, *least = 0x800, 2;
  if (first >= 0xf0 && first < 0xf5) return *value = first & 0x07, *least = 0x10000, 3;
  return -1;
}

int df_utf8_next(const char *text, size_t length, unsigned *value)
{
  unsigned least = 0;
  int more = length ? follow((unsigned char)text[0], value, &least) : -1;
  if (more < 0 || (size_t)more >= length) return 0;
  for (int i = 1; i <= more; i++) {
    unsigned char byte = (unsigned char)text[i];
    if ((byte & 0xc0) != 0x80) return 0;
    *value = *value << 6 | (byte & 0x3f);
  }
  if (*value < least || *value > 0x10ffff || (*value >= 0xd800 && *value < 0xe000)) return 0;
  return more + 1;
}

static const char *complaint(unsigned c)
{
  if (c == 0) return "a zero byte; a scenario is plain text";
  if (c == 0x0d) return "a carriage return without a line feed; end lines with LF or CR LF";
  if (c < 0x20 || c == 0x7f || (c >= 0x80 && c < 0xa0))
    return "a control character; a scenario is plain text";
  if (c == 0x2028 || c == 0x2029)
    return "a line separator that not every program knows; end lines with LF or CR LF";
  if (c == 0xfeff)
    return "a mark of the byte order inside the text; it may stand at the very beginning only";
  if ((c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) || c == 0x200e || c == 0x200f)
    return "an invisible mark of writing direction; take it out";
  if ((c & 0xfffe) == 0xfffe)
    return "a value that is no character; a scenario is plain text in UTF-8";
  return NULL;
}

struct df_bad_byte df_bytes_check(const char *text, size_t length, int indented)
{
  int line = 1, column = 1, blank = 1;
  for (size_t i = 0; i < length;) {
    unsigned c = 0;
    int bytes = df_utf8_next(text + i, length - i, &c);
    if (!bytes)
      return (struct df_bad_byte){"bytes that are no UTF-8; save the file as UTF-8", line, column};
    int ends = c == '\n' || (c == '\r' && i + 1 < length && text[i + 1] == '\n');
    const char *what = ends || c == '\t' || (c == 0xfeff && i == 0) ? NULL : complaint(c);
    if (c == '\t' && blank && indented)
      what = "a tab at the beginning of a line; indent with blanks";
    if (what) return (struct df_bad_byte){ what, line, column };
    blank = c == '\n' || (blank && (c == ' ' || c == '\t' || c == 0xfeff));
    column = c == '\n' ? 1 : column + (c != 0xfeff);
    line += c == '\n';
    i += (size_t)bytes;
  }
  return (struct df_bad_byte){ 0 };
}
