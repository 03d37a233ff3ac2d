// Polylines of the ground, shared by all kinds of road.
#include "vehicle/ground.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

enum df_status df_polyline_init(struct df_polyline *line, int n)
{
  size_t bytes = (size_t)n*sizeof(double);
  *line = (struct df_polyline){ .n = n, .s = malloc(bytes), .z = malloc(bytes) };
  if (line->s && line->z) return DF_OK;
  df_polyline_finish(line);
  return DF_NO_MEMORY;
}

void df_polyline_finish(struct df_polyline *line)
{
  free(line->s);
  free(line->z);
  *line = (struct df_polyline){0};
}

int df_curve_points(double length)
{
  int n = (int)ceil(length/DF_CURVE_STEP - 1e-6) + 1; // 1e-6 of a step: rounding adds none
  return n < 2 ? 2 : n;
}

void df_curve_fill(struct df_polyline *line, int first, int n, double from, double to,
                   df_height *height, const void *keys)
{
  for (int k = 0; k < n; k++) {
    double s = k < n - 1 ? from + (to - from)*k/(n - 1) : to;
    line->s[first + k] = s;
    line->z[first + k] = height(keys, s);
  }
}

enum df_status df_curve(struct df_polyline *line, double length, df_height *height,
                        const void *keys)
{
  enum df_status status = df_polyline_init(line, df_curve_points(length));
  if (status == DF_OK) df_curve_fill(line, 0, line->n, 0, length, height, keys);
  return status;
}

enum df_status df_box(struct df_polyline *line, double length, double height)
{
  enum df_status status = df_polyline_init(line, 4);
  if (status != DF_OK) return status;
  line->s[0] = line->s[1] = line->z[0] = line->z[3] = 0;
  line->s[2] = line->s[3] = length;
  line->z[1] = line->z[2] = height;
  return DF_OK;
}

// R = (L^2/4 + h^2)/(2h). The height as a quotient, since R - h cancels for a flat arc.
double df_arc(double chord, double height, double s)
{
  if (!(height > 0) || s <= 0 || s >= chord) return 0;
  double radius = (chord*chord/4 + height*height)/(2*height), across = s - chord/2; // m
  double below = across*across/(radius + sqrt(fmax(radius*radius - across*across, 0))); // m
  return height - below;
}

enum df_status df_road_fault(struct df_faults *faults, enum df_status status,
                             const struct df_road *road, const char *key, const char *format, ...)
{
  char path[96], text[320];
  snprintf(path, sizeof path, "roads.%s.%s", road->name, key);
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  return df_fault_add(faults, status, path, "%s", text);
}

enum df_status df_road_within(struct df_faults *faults, const struct df_road *road, const char *key,
                              double value, double least, double most, double unit,
                              const char *unit_name)
{
  if (value >= least && value <= most) return DF_OK;
  if (isnan(value))
    return df_road_fault(faults, DF_BAD_INPUT, road, key, "not given; allowed: %g to %g %s",
                         least/unit, most/unit, unit_name);
  return df_road_fault(faults, DF_BAD_INPUT, road, key,
                       "%g %s is out of range; allowed: %g to %g %s", value/unit, unit_name,
                       least/unit, most/unit, unit_name);
}
