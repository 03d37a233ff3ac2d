// JSON, indented by two blanks. Nothing is kept but the depth; the caller nests.
#ifndef DF_TOOLS_OUT_JSON_H
#define DF_TOOLS_OUT_JSON_H

#include <stdio.h>

enum {
  JSON_SCHEMA = 1
}; // grows when a name or meaning in any JSON answer changes; new names alone leave it

enum { JSON_DEPTH_MAX = 24 };
struct json {
  FILE *stream;
  int digits;
  int depth;
  int filled[JSON_DEPTH_MAX]; // a member stands at this depth
  int array[JSON_DEPTH_MAX];
};

// Begin the whole answer: opens the object and writes schema, version and command. json_finish
// closes it.
void json_begin(struct json *json, FILE *stream, int digits, const char *command);
void json_finish(struct json *json);

// key: NULL within an array.
void json_object(struct json *json, const char *key);
void json_array(struct json *json, const char *key);
void json_end(struct json *json); // of the innermost object or array
void json_number(struct json *json, const char *key, double number); // NAN, infinities: null
void json_text(struct json *json, const char *key,
               const char *text); // NULL: null; broken UTF-8 becomes U+FFFD
void json_truth(struct json *json, const char *key, int truth);

#endif
