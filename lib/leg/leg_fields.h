// Constants of one leg: included once with `real` as double (filled by leg/prepare.c) and once as a lane (the kernel's copy).
// Doubles only. Hydraulic coefficients are geometric: times viscosity or density at the oil's temperature they are K1 and K2.
real tube_area, bore_area, lower_area, annulus_area;   // m2: A_o, A_i, A_o - A_r, A_i - A_r
real lower_full, annulus_start, rod_volume;            // m3: V_L = lower_full - lower_area x, V_A = annulus_start + annulus_area x
real travel;                                           // m
// oil as a fluid
real vapour, stiffness, half_width, air_term;          // Pa; K/(2 (1-phi)), Pa; (1-phi)(1 + (p0-pv)/K), 1; c of (2.2), 1
real liquid, bulk, air;                                // 1-phi, K in Pa, phi (p0-pv) in Pa: enthalpy
real threshold;                                        // Pa, below it counts as cavitating
real mu, rho;                                          // Pa s, kg/m3 at the start of the ride
// paths: K1/mu in 1/m3, K2/rho in 1/m4, choke in m2
real holes_in_viscous, holes_in_inertial, holes_in_choke, holes_out_viscous, holes_out_inertial, holes_out_choke;
real rebound_in_viscous, rebound_in_inertial, rebound_in_choke, rebound_out_viscous, rebound_out_inertial, rebound_out_choke;
real bore_viscous, bore_inertial;
real open_over, open_past;                             // m: y = travel - x over the one, x past the other: every hole is open, none to the annulus
real check_viscous, check_inertial, check_crack, check_per_range;  // last two Pa, 1/Pa
real leak_viscous, leak_inertial;
real ring_viscous, ring_inertial, gap_viscous, gap_inertial;       // the piston's gap only where has_gap
real bleed_viscous, bleed_inertial, bleed_choke;
real return_viscous, return_inertial, return_crack, return_per_range;
// valve
real valve_area, valve_jet, valve_rate, valve_preload, valve_shim_rate, valve_shim_dish, valve_shim_stiffening, valve_stop;
real valve_creep, valve_land, valve_jet_loss, valve_ports;         // over mu, over mu, over rho, over rho
real valve_crack, valve_stop_drop, valve_table_scale;
real plate_mass, plate_damping;                        // kg (with a third of its spring), N s/m
// air column
real gas_start, gas_offset, oil_start, fill_pressure, exponent;    // m3, m3, m3, Pa, 1: V_g = gas_offset - A_i x + sum W
real per_thermal_time;                                 // 1/s; 0: polytropic
real oil_volume, level_density;                        // m3, kg/m3: room for hot oil; volume 0 when not given
// forces
real spring_soft, spring_hard, spring_change, spring_bind, spring_preload;
real top_out_length, top_out_rate, stop_rate, stop_damping;
real cone_start, cone_per_length, cone_gap_start, cone_narrowing, cone_trapped, cone_viscous, cone_inertial, tube_bore;
real friction_sliding, friction_pressure, friction_bush, friction_viscous;         // N, N/Pa, 1, N s/m
real per_presliding, over_breakaway, per_stribeck_speed;
real bush_spacing, bush_reach;                         // m: c = bush_spacing + x, l = bush_reach - x
// linear leg
real linear_rate, linear_damping, linear_preload;      // N/m, N s/m, N
// oil heat
real heat_capacity, heat_loss, ambient;                // J/K, W/K, K
real walther_a, walther_b, density_15;                 // 1, 1 (base 10, mm2/s and K), kg/m3
