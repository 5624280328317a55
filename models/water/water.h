// Properties of liquid water at about 0.1 MPa.
//
// Equations and sources
//   density, heat capacity   IAPWS SR6-08(2011), Properties of Liquid Water at 0.1 MPa, eqs. 2 to 4 and table 1
//   viscosity                IAPWS SR6-08(2011), eq. 7 (agrees with IAPWS R12-08 to 0.01 %)
//   dielectric constant      IAPWS SR6-08(2011), eq. 9
//   vapour pressure          IAPWS R7-97(2012) (IF97), eq. 30 and table 34, saturation line
//   ion product              IAPWS R11-07, eqs. 2 to 5, at the density above
// Symbols: T temperature [K]; the results carry their unit in the name.
// Range: 0 to 100 degC (the formulations reach from -20 to 110 degC; outside 0 to 100 degC the value at the nearer end
//   is returned). Pressure changes density by 0.005 % per bar, viscosity and the rest by less: neglected.
// Numerical notes: the plain functions read a TemperatureTable (relative error below 1e-7, a few nanoseconds,
// continuous
//   slope); the *_exact functions evaluate the formulation itself and are what the table is made from.
// Errors: none; NaN reads as 0 degC.
// Test: tests/reference/verify_tables_test.cpp (water_properties), tests/reference/water_properties_test.cpp.
#pragma once

namespace wetrun {

double water_density_kg_m3(double kelvin);
double water_viscosity_pa_s(double kelvin);
double water_vapour_pressure_pa(double kelvin);
double water_heat_capacity_j_kg_k(double kelvin);
double water_dielectric_constant(double kelvin);

struct WaterDensityViscosity {
  double density_kg_m3, viscosity_pa_s;
};
/// Both at the price of one.
WaterDensityViscosity water_density_viscosity(double kelvin);
/// Ion product [mol2/kg2] at the density above: 10^-water_pkw, from the table (relative error below 1e-6).
double water_ion_product(double kelvin);

double water_density_exact_kg_m3(double kelvin);
double water_viscosity_exact_pa_s(double kelvin);
double water_vapour_pressure_exact_pa(double kelvin);
double water_heat_capacity_exact_j_kg_k(double kelvin);
double water_dielectric_constant_exact(double kelvin);

/// -log10 of the ion product [mol2/kg2] at a temperature and density.
double water_pkw(double kelvin, double density_kg_m3);

/// Debye-Hueckel slope A of log10 g = -A z^2 sqrt(I) [kg^0.5 mol^-0.5] from density and dielectric constant.
double debye_hueckel_a(double kelvin);

}  // namespace wetrun
