// Events of libyaml -> nodes; its phrases -> sentences of ours.
#include "scenario/yaml.h"

#include "scenario/bytes.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <yaml.h>

struct reader {
  struct df_arena *arena;
  const struct df_source *source;
  struct df_faults *faults;
  struct df_node *open[DF_DEPTH_MAX]; // mappings and lists around the place
  int depth, nodes, documents;
  int any;                    // the root may be anything, not only a mapping
  struct df_node *root;
  const char *key;            // waiting for its value
  int key_line, key_column;
};

static int line_of(yaml_mark_t mark)
{
  return mark.line < INT_MAX ? (int)mark.line + 1 : INT_MAX;
}

static int column_of(yaml_mark_t mark)
{
  return mark.column < INT_MAX ? (int)mark.column + 1 : INT_MAX;
}

static int fault(struct reader *reader, yaml_mark_t mark, const char *key, const char *text)
{
  df_fault_at(reader->faults, reader->source, line_of(mark), column_of(mark), DF_BAD_INPUT, 0, key,
              "%s", text);
  return 0;
}

// --- Sentences for what libyaml cannot read

// 1: the place or what began before it is what a person looks for.
struct sentence { const char *problem, *context; int at_context; const char *text; };

static const struct sentence sentences[] = {
    {"could not find expected ':'", NULL, 1, "no colon after the key; write 'key: value'"},
    {"did not find expected key", "block mapping", 0,
     "not in line with the keys above it; keys of one section begin in the same column"},
    {"did not find expected '-' indicator", NULL, 0,
     "not in line with the items above it; items of one list begin in the same column"},
    {"did not find expected ',' or '}'", NULL, 1,
     "this { is not closed, or a comma is missing after it"},
    {"did not find expected ',' or ']'", NULL, 1,
     "this [ is not closed, or a comma is missing after it"},
    {"found unexpected end of stream", "quoted scalar", 1, "this quote is not closed"},
    {"found unexpected document indicator", NULL, 1, "this quote is not closed"},
    {"found unknown escape character", NULL, 0,
     "a backslash has a meaning inside double quotes; use single quotes"},
    {"did not find expected hexdecimal number", NULL, 0,
     "a backslash has a meaning inside double quotes; use single quotes"},
    {"found invalid Unicode character escape code", NULL, 0,
     "this escape is no character; use single quotes"},
    {"found character that cannot start any token", NULL, 0,
     "a value cannot begin with this character; put the text in quotes"},
    {"did not find expected alphabetic or numeric character", "anchor", 0,
     "a value cannot begin with &; put the text in quotes"},
    {"did not find expected alphabetic or numeric character", "alias", 0,
     "a value cannot begin with *; put the text in quotes"},
    {"did not find expected alphabetic or numeric character", NULL, 0,
     "lines beginning with % have no place in a scenario"},
    {"block sequence entries are not allowed in this context", NULL, 0,
     "a list cannot begin here; begin it on its own line, or write [...]"},
    {"block collection entries are not allowed in this context", NULL, 0,
     "a list cannot begin here; begin it on its own line, or write [...]"},
    {"mapping keys are not allowed in this context", NULL, 0,
     "a text cannot begin with ?; put it in quotes"},
    {"found a tab character", NULL, 0, "a tab where blanks are wanted"},
    {"found undefined tag handle", NULL, 0,
     "tags (!) have no place in a scenario; put the text in quotes"},
    {"did not find expected tag", NULL, 0,
     "tags (!) have no place in a scenario; put the text in quotes"},
    {"did not find the expected '>'", NULL, 0,
     "tags (!) have no place in a scenario; put the text in quotes"},
    {"did not find expected whitespace or line break", "tag", 0,
     "tags (!) have no place in a scenario; put the text in quotes"},
    {"did not find expected node content", NULL, 0, "a value is missing here"},
    {"did not find expected <document start>", NULL, 0,
     "text after the end of the scenario; one scenario a file"},
    {"found unexpected ':'", NULL, 0, "a colon inside a text; put the text in quotes"},
    {"did not find expected comment or line break", NULL, 0,
     "after | or > the text begins on the next line"},
    {"found unknown directive name", NULL, 0, "lines beginning with % have no place in a scenario"},
    {"expected a key", NULL, 0, "a key is missing here"},
};

static int has(const char *text, const char *part)
{
  return text && strstr(text, part) != NULL;
}

// How often ": " stands in the line before the column: more than once means a colon inside a text.
static int colons_before(const struct df_source *source, yaml_mark_t mark)
{
  const char *p = source->text, *end = p + source->length;
  for (size_t line = 0; line < mark.line && p < end; p++) line += *p == '\n';
  int colons = 0;
  for (size_t column = 0; column < mark.column && p < end && *p != '\n'; p++, column++)
    colons += *p == ':' && p + 1 < end && p[1] == ' ';
  return colons;
}

// Where a reader notices what went wrong before, when that is another line.
static void put_noticed(const struct df_source *source, yaml_mark_t began, yaml_mark_t noticed,
                        char *text, size_t size)
{
  size_t lines = source->length > 0 && source->text[source->length - 1] != '\n';
  for (size_t i = 0; i < source->length; i++) lines += source->text[i] == '\n';
  *text = 0;
  if (noticed.line >= lines && began.line + 1 < lines)
    snprintf(text, size, " (noticed at the end)");
  else if (noticed.line < lines && noticed.line != began.line)
    snprintf(text, size, " (noticed in line %d)", line_of(noticed));
}

static int stopped(struct reader *reader, const yaml_parser_t *parser)
{
  const char *problem = parser->problem ? parser->problem : "unreadable";
  if (parser->error == YAML_MEMORY_ERROR) {
    df_fault_add(reader->faults, DF_NO_MEMORY, "", "out of memory");
    return 0;
  }
  if (has(problem, "mapping values are not allowed"))
    return fault(reader, parser->problem_mark, "",
                 colons_before(reader->source, parser->problem_mark) > 0
                     ? "a colon with a blank inside a text; put the text in quotes, as in note: "
                       "'Fork: 41 mm'"
                     : "indented too far, or the line above it has no colon; keys of one section "
                       "begin in the same column");
  for (size_t i = 0; i < sizeof sentences/sizeof sentences[0]; i++) {
    const struct sentence *s = &sentences[i];
    if (!has(problem, s->problem) || (s->context && !has(parser->context, s->context))) continue;
    int there = s->at_context && parser->context;
    yaml_mark_t mark = there ? parser->context_mark : parser->problem_mark;
    char text[300], noticed[60];
    put_noticed(reader->source, mark, parser->problem_mark, noticed, sizeof noticed);
    snprintf(text, sizeof text, "%s%s", s->text, there ? noticed : "");
    return fault(reader, mark, "", text);
  }
  char text[200];
  snprintf(text, sizeof text, "not readable as YAML: %.120s", problem);
  return fault(reader, parser->problem_mark, "", text);
}

// --- Events

static struct df_node *around(const struct reader *reader)
{
  return reader->depth ? reader->open[reader->depth - 1] : NULL;
}

static int is_key(const struct reader *reader)
{
  return around(reader) && around(reader)->kind == DF_MAPPING && !reader->key;
}

static int take_key(struct reader *reader, const yaml_event_t *event)
{
  const char *text = (const char *)event->data.scalar.value;
  size_t length = event->data.scalar.length;
  char clipped[60], sentence[200];
  df_clip(text, clipped, sizeof clipped);
  if (!length) return fault(reader, event->start_mark, "", "an empty key");
  struct df_node *first = df_node_child(around(reader), text);
  if (first) {
    snprintf(sentence, sizeof sentence, "given twice, first in line %d", first->key_line);
    return fault(reader, event->start_mark, clipped, sentence);
  }
  reader->key = df_arena_text(reader->arena, text, length);
  reader->key_line = line_of(event->start_mark);
  reader->key_column = column_of(event->start_mark);
  if (!reader->key) df_fault_add(reader->faults, DF_NO_MEMORY, "", "out of memory");
  return reader->key != NULL;
}

// What a key without a value means.
static int empty_value(struct reader *reader, struct df_node *node)
{
  struct df_node *before = around(reader)->last;
  char key[60], text[200];
  df_clip(node->key, key, sizeof key);
  if (node->key[0] >= '0' && node->key[0] <= '9' && before && before->kind == DF_SCALAR) {
    snprintf(text, sizeof text,
             "a number where a key should stand; decimal comma? write %.20s.%.20s", before->text,
             key);
    before->bad = 1;
  } else if (strchr(node->key, ':')) {
    const char *colon = strchr(key, ':');
    snprintf(text, sizeof text, "a blank is missing after the colon; write %.*s: %s",
             colon ? (int)(colon - key) : 0, key, colon ? colon + 1 : "");
  } else {
    return 1;                 // the table walk knows what should stand here
  }
  node->bad = 1;
  df_fault_at(reader->faults, reader->source, node->key_line, node->key_column, DF_BAD_INPUT, 0,
              key, "%s", text);
  return 1;
}

static int attach(struct reader *reader, struct df_node *node, const yaml_event_t *event)
{
  if (!node) {
    df_fault_add(reader->faults, DF_NO_MEMORY, "", "out of memory");
    return 0;
  }
  if (++reader->nodes > DF_NODES_MAX)
    return fault(reader, event->start_mark, "",
                 "more values than any scenario needs; at most 4096");
  struct df_node *parent = around(reader);
  if (!parent) {
    const char *what =
        node->kind == DF_SCALAR
            ? "no colon after the key; write 'key: value'"
            : "a scenario is made of keys with values, as in 'bike: {rake: 26 degree}'";
    if (node->kind != DF_MAPPING && !reader->any) return fault(reader, event->start_mark, "", what);
    reader->root = node;
    return 1;
  }
  if (parent->kind == DF_MAPPING) {
    node->key = reader->key;
    node->key_line = reader->key_line;
    node->key_column = reader->key_column;
    reader->key = NULL;
    if (node->kind == DF_SCALAR && !node->quoted && !node->text[0]) empty_value(reader, node);
  }
  df_node_append(parent, node);
  return 1;
}

static int scalar(struct reader *reader, const yaml_event_t *event)
{
  if (event->data.scalar.anchor)
    return fault(reader, event->start_mark, "",
                 "anchors (&) have no place in a scenario; put the text in quotes");
  if (event->data.scalar.tag)
    return fault(reader, event->start_mark, "",
                 "tags (!) have no place in a scenario; put the text in quotes");
  // Escapes in double quotes can make what the guard over the file's bytes did not see.
  if (df_bytes_check((const char *)event->data.scalar.value, event->data.scalar.length, 0).what)
    return fault(reader, event->start_mark, "",
                 "an escape makes a control character; use single quotes");
  if (is_key(reader)) return take_key(reader, event);
  struct df_node *node = df_node_create(reader->arena, DF_SCALAR, reader->source,
                                        line_of(event->start_mark), column_of(event->start_mark));
  if (node) {
    yaml_scalar_style_t style = event->data.scalar.style;
    node->block = style == YAML_LITERAL_SCALAR_STYLE || style == YAML_FOLDED_SCALAR_STYLE;
    node->quoted = node->block || style == YAML_SINGLE_QUOTED_SCALAR_STYLE ||
                   style == YAML_DOUBLE_QUOTED_SCALAR_STYLE;
    node->text = df_arena_text(reader->arena, (const char *)event->data.scalar.value,
                               event->data.scalar.length);
    if (!node->text) node = NULL;
  }
  return attach(reader, node, event);
}

static int opened(struct reader *reader, const yaml_event_t *event, enum df_node_kind kind,
                  const yaml_char_t *anchor, const yaml_char_t *tag)
{
  if (anchor)
    return fault(reader, event->start_mark, "", "anchors (&) have no place in a scenario");
  if (tag) return fault(reader, event->start_mark, "", "tags (!) have no place in a scenario");
  if (is_key(reader))
    return fault(reader, event->start_mark, "",
                 "a key is a single word; a section or list cannot be one");
  if (reader->depth == DF_DEPTH_MAX)
    return fault(reader, event->start_mark, "",
                 "nested deeper than any key of a scenario; at most 8 levels");
  struct df_node *node = df_node_create(reader->arena, kind, reader->source,
                                        line_of(event->start_mark), column_of(event->start_mark));
  if (!attach(reader, node, event)) return 0;
  reader->open[reader->depth++] = node;
  return 1;
}

static int document(struct reader *reader, const yaml_event_t *event)
{
  if (event->data.document_start.version_directive ||
      event->data.document_start.tag_directives.start !=
          event->data.document_start.tag_directives.end)
    return fault(reader, event->start_mark, "",
                 "lines beginning with % have no place in a scenario");
  if (reader->documents++)
    return fault(reader, event->start_mark, "",
                 "a second scenario begins here; one scenario a file");
  return 1;
}

// 1: go on; 0: stop, a fault was added.
static int take(struct reader *reader, const yaml_event_t *event)
{
  switch (event->type) {
  case YAML_DOCUMENT_START_EVENT: return document(reader, event);
  case YAML_ALIAS_EVENT:
    return fault(reader, event->start_mark, "",
                 "aliases (*) have no place in a scenario; put the text in quotes");
  case YAML_SCALAR_EVENT: return scalar(reader, event);
  case YAML_SEQUENCE_START_EVENT:
    return opened(reader, event, DF_SEQUENCE, event->data.sequence_start.anchor,
                  event->data.sequence_start.tag);
  case YAML_MAPPING_START_EVENT:
    return opened(reader, event, DF_MAPPING, event->data.mapping_start.anchor,
                  event->data.mapping_start.tag);
  case YAML_SEQUENCE_END_EVENT:
  case YAML_MAPPING_END_EVENT: reader->depth--; return 1;
  default: return 1;
  }
}

static struct df_node *events(struct df_arena *arena, const struct df_source *source, int any,
                              struct df_faults *faults, int *broken)
{
  struct reader reader = { .arena = arena, .source = source, .faults = faults, .any = any };
  yaml_parser_t parser;
  *broken = 1;
  if (!yaml_parser_initialize(&parser)) {
    df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
    return NULL;
  }
  yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
  size_t mark = source->length >= 3 && !memcmp(source->text, "\xef\xbb\xbf", 3)
                    ? 3
                    : 0; // libyaml skips it when it has to guess only
  yaml_parser_set_input_string(&parser, (const unsigned char *)source->text + mark,
                               source->length - mark);
  for (int going = 1, ended = 0; going && !ended;) {
    yaml_event_t event;
    if (!yaml_parser_parse(&parser, &event)) {
      stopped(&reader, &parser);
      break;
    }
    ended = event.type == YAML_STREAM_END_EVENT;
    going = take(&reader, &event);
    if (ended && going) *broken = 0;
    yaml_event_delete(&event);
  }
  yaml_parser_delete(&parser);
  if (!*broken && !reader.root)
    df_fault_at(faults, source, 0, 0, DF_BAD_INPUT, 0, "",
                "no keys; a scenario is made of keys with values, as in 'bike: {rake: 26 degree}'");
  return reader.root;
}

struct df_node *df_yaml_read(struct df_arena *arena, const struct df_source *source,
                             struct df_faults *faults, int *broken)
{
  return events(arena, source, 0, faults, broken);
}

struct df_node *df_yaml_value(struct df_arena *arena, const struct df_source *source,
                              struct df_faults *faults, int *broken)
{
  return events(arena, source, 1, faults, broken);
}
