# Error against cost of every method on the four rides, from the table that `tools/bench --full -o bench.csv` writes.
# usage: gnuplot -d -e "table='bench.csv'; picture='work-precision.svg'" tools/benchmark/work-precision.gp
set encoding utf8
if (!exists("terminal")) terminal = "svg size 1200,860 enhanced font 'sans,14'"
set terminal @terminal
set output picture
set datafile separator ','
set datafile missing NaN
set logscale xy
set format x '10^{%T}'
set format y '10^{%T}'
set grid lc rgb '#dddddd'
set multiplot layout 2,2 margins 0.07,0.98,0.16,0.95 spacing 0.09,0.14
set ylabel 'error of travel, rms [mm]'
array ride[4] = ['plain_edges', 'valved_random', 'voiding_washboard', 'brake_dive']
array called[4] = ['plain fork, edges with stick-slip', 'valved, random road', 'plain, washboard that voids', 'valved, brake dive with bush friction']
array method[6] = ['rodas4', 'rodas3', 'bsimp', 'msbdf', 'cvode_exact', 'cvode_differences']
array words[6] = ['ours, fourth order', 'ours, third order', 'GSL bsimp', 'GSL msbdf', 'CVODE, exact Jacobian', 'CVODE, differences']
array colour[6] = ['#000000', '#0b5a8f', '#8a4b9e', '#b3541e', '#5a7d1a', '#777777']
do for [r=1:4] {
  set title called[r]
  set xlabel 'time of one ride alone [ms]'
  if (r == 4) { set key at screen 0.5,0.04 center vertical maxrows 2 samplen 3 width 1 } else { unset key }
  # each in its best kernel: ours and GSL's in the machine's widest, CVODE in the scalar one; the line is 0.05 mm
  plot for [m=1:6] table using ((strcol(1) eq ride[r] && strcol(2) eq method[m] && $4 == 1 && (strcol(3) eq 'avx512' || strcol(3) eq 'avx2' || strcol(3) eq 'scalar')) ? $6 : NaN):7 \
         with linespoints linecolor rgb colour[m] dashtype m pointtype (m == 1 ? 7 : m == 2 ? 6 : m == 3 ? 2 : m == 4 ? 4 : m == 5 ? 9 : 10) pointsize 0.7 linewidth 1.5 title words[m], \
       0.05 with lines linecolor rgb '#888888' dashtype 3 notitle
}
unset multiplot
unset output
