// JSON writer.
#include "out_json.h"

#include "out_csv.h"
#include "say.h"
#include "version.h"

#include <math.h>

static void member(struct json *json, const char *key)
{
  if (json->filled[json->depth]) fputc(',', json->stream);
  json->filled[json->depth] = 1;
  if (json->depth) fprintf(json->stream, "\n%*s", 2*json->depth, "");
  if (key) fprintf(json->stream, "\"%s\": ", key);
}

static void nest(struct json *json, const char *key, int array)
{
  member(json, key);
  fputc(array ? '[' : '{', json->stream);
  if (json->depth + 1 < JSON_DEPTH_MAX) json->depth++;
  json->filled[json->depth] = 0;
  json->array[json->depth] = array;
}

void json_object(struct json *json, const char *key)
{
  nest(json, key, 0);
}

void json_array(struct json *json, const char *key)
{
  nest(json, key, 1);
}

void json_end(struct json *json)
{
  int array = json->array[json->depth], filled = json->filled[json->depth];
  json->depth--;
  if (filled) fprintf(json->stream, "\n%*s", 2*json->depth, "");
  fputc(array ? ']' : '}', json->stream);
}

void json_number(struct json *json, const char *key, double number)
{
  char text[40];
  member(json, key);
  fputs(isfinite(number) ? number_text(text, number, json->digits) : "null", json->stream);
}

void json_truth(struct json *json, const char *key, int truth)
{
  member(json, key);
  fputs(truth ? "true" : "false", json->stream);
}

void json_text(struct json *json, const char *key, const char *text)
{
  member(json, key);
  if (!text) {
    fputs("null", json->stream);
    return;
  }
  fputc('"', json->stream);
  for (const unsigned char *at = (const unsigned char *)text; *at;) {
    unsigned point;
    int n = utf8_length(at, &point);
    if (!n) fputs("\\ufffd", json->stream);
    else if (*at == '"' || *at == '\\') fprintf(json->stream, "\\%c", *at);
    else if (point < 0x20 || point == 0x7f) fprintf(json->stream, "\\u%04x", point);
    else fwrite(at, 1, n, json->stream);
    at += n ? n : 1;
  }
  fputc('"', json->stream);
}

void json_begin(struct json *json, FILE *stream, int digits, const char *command)
{
  *json = (struct json){.stream = stream, .digits = digits};
  json_object(json, NULL);
  json_number(json, "schema", JSON_SCHEMA);
  json_text(json, "version", DAMPFORK_VERSION);
  json_text(json, "command", command);
}

void json_finish(struct json *json)
{
  while (json->depth) json_end(json);
  fputc('\n', json->stream);
}
