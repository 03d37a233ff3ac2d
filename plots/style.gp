## House style, put at the head of every script. Data and template choose no terminal: it is chosen here, by `form`.
# House style: readable without colour. Line types 1 to 5 differ in dash and marker, colour comes on top.
set encoding utf8
if (!exists('canvas_wide')) { canvas_wide = 960; canvas_high = 600; canvas_font = 'sans-serif,14' } # of svg
if (form eq 'svg') { set terminal svg size canvas_wide,canvas_high dynamic background '#ffffff' font canvas_font linewidth 1.2 }
if (form eq 'png') { set terminal pngcairo size 1440,900 background '#ffffff' font 'sans,18' linewidth 1.8 fontscale 1 }
if (form eq 'pdf') { set terminal pdfcairo size 24cm,15cm background '#ffffff' font 'sans,11' linewidth 1.4 }
if (form eq 'term') { set terminal dumb size 100,32 mono }
if (form ne 'term') { if (!exists('out')) { out = stem.'.'.form }; set output out }
set linetype 1 dashtype 1          pointtype 7  pointsize 0.6 linewidth 2   linecolor rgb '#000000'
set linetype 2 dashtype (12,5)     pointtype 4  pointsize 0.7 linewidth 2   linecolor rgb '#0072b2'
set linetype 3 dashtype (3,4)      pointtype 9  pointsize 0.8 linewidth 2   linecolor rgb '#d55e00'
set linetype 4 dashtype (14,4,2,4) pointtype 12 pointsize 0.8 linewidth 2   linecolor rgb '#009e73'
set linetype 5 dashtype (7,3)      pointtype 2  pointsize 0.7 linewidth 1.5 linecolor rgb '#cc79a7'
set style line 20 linecolor rgb '#999999' dashtype 1     linewidth 0.8
set style line 21 linecolor rgb '#666666' dashtype (2,3) linewidth 1.2
set border 3 linestyle 20
set tics nomirror out textcolor rgb '#333333'
set grid linestyle 20 linewidth 0.3
if (form eq 'term') { unset grid; set border 3 linetype -1; set tics textcolor default }
fine = form ne 'term' # marks and labels that a terminal is too coarse for
set key off noenhanced
set title noenhanced
set xlabel noenhanced
set ylabel noenhanced
