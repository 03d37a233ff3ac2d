# Error against cost of every method on the four rides, from the table that `tools/bench --full -o bench.csv` writes.
# usage: gnuplot -d -e "table='bench.csv'; picture='work-precision.svg'" tools/benchmark/work-precision.gp
set encoding utf8
set terminal svg size 1200,800 enhanced font 'sans,13'
set output picture
set datafile separator ','
set logscale xy
set format x '10^{%T}'
set format y '10^{%T}'
set grid lc rgb '#cccccc'
set key outside right top samplen 2 spacing 1.2
set multiplot layout 2,2
set xlabel 'time a ride [ms]'
set ylabel 'error of travel, rms [mm]'
rides = 'plain_edges valved_random voiding_washboard brake_dive'
methods = 'rodas4 rodas3 bsimp msbdf cvode_exact cvode_differences'
do for [r=1:4] {
  ride = word(rides, r)
  set title ride noenhanced
  if (r == 2) { set key } else { unset key }
  # one ride alone, in the machine's best kernel (ours and GSL's) or the scalar one (CVODE); the line is 0.05 mm
  plot for [m=1:words(methods)] table using ((strcol(1) eq ride && strcol(2) eq word(methods, m) && $4 == 1 && (strcol(3) eq 'avx512' || strcol(3) eq 'avx2' || strcol(3) eq 'scalar')) ? $6 : NaN):7 \
         with linespoints linetype m dashtype m pointtype m linewidth 1.5 title word(methods, m) noenhanced, \
       0.05 with lines linecolor rgb '#888888' dashtype 3 notitle
}
unset multiplot
unset output
