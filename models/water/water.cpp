#include "models/water/water.h"

#include <cmath>
#include <numbers>

#include "models/water/temperature_table.h"

namespace wetrun {

namespace {

double int_power(double x, int n) {
  double y = 1;
  for (int i = 0; i < n; ++i) y *= x;
  return y;
}

// SR6-08: reduced temperatures alpha = 10 K / (593 K - T), beta = 10 K / (T - 232 K), R = 461.51805 J/kg/K.
constexpr double gas_constant_j_kg_k = 461.51805;
double alpha_of(double kelvin) { return 10.0 / (593.0 - kelvin); }
double beta_of(double kelvin) { return 10.0 / (kelvin - 232.0); }

enum Property : std::size_t {
  density,
  viscosity,
  vapour_pressure,
  heat_capacity,
  dielectric,
  ion_product,
  property_count
};

const TemperatureTable<property_count>& table() {
  static const TemperatureTable<property_count> t([](double kelvin, std::array<double, property_count>& y) {
    y[density] = water_density_exact_kg_m3(kelvin);
    y[viscosity] = water_viscosity_exact_pa_s(kelvin);
    y[vapour_pressure] = water_vapour_pressure_exact_pa(kelvin);
    y[heat_capacity] = water_heat_capacity_exact_j_kg_k(kelvin);
    y[dielectric] = water_dielectric_constant_exact(kelvin);
    y[ion_product] = std::pow(10.0, -water_pkw(kelvin, y[density]));
  });
  return t;
}

}  // namespace

double water_density_exact_kg_m3(double kelvin) {
  constexpr double a5 = 1.93763157e-2;
  constexpr double a[] = {6.74458446e3, -2.22521604e5, 1.00231247e8, -1.63552118e9, 8.32299658e9};
  constexpr int n[] = {4, 5, 7, 8, 9};
  constexpr double b[] = {5.78545292e-3, -1.53195665e-2, 3.11337859e-2, -4.23546241e-2, 3.38713507e-2, -1.19946761e-2};
  const double alpha = alpha_of(kelvin), beta = beta_of(kelvin);
  double sum = a5;
  for (int i = 0; i < 5; ++i) sum += a[i] * int_power(alpha, n[i]);
  for (int i = 0; i < 6; ++i) sum += b[i] * int_power(beta, i + 1);
  return 1.0 / (gas_constant_j_kg_k * 10.0 / 1e5 * sum);
}

double water_heat_capacity_exact_j_kg_k(double kelvin) {
  constexpr double a[] = {-1.661470539e5, 2.708781640e6, -1.557191544e8};
  constexpr int n[] = {4, 5, 7};
  constexpr double b[] = {-8.237426256e-1, 1.908956353, -2.017597384, 8.546361348e-1};
  constexpr int m[] = {2, 3, 4, 5};
  constexpr double c3 = -8.983025854;
  const double alpha = alpha_of(kelvin), beta = beta_of(kelvin);
  double sum = 0;
  for (int i = 0; i < 3; ++i) sum += n[i] * (n[i] + 1) * a[i] * int_power(alpha, n[i] + 2);
  for (int i = 0; i < 4; ++i) sum += m[i] * (m[i] + 1) * b[i] * int_power(beta, m[i] + 2);
  return -gas_constant_j_kg_k * (c3 + kelvin / 10.0 * sum);
}

double water_viscosity_exact_pa_s(double kelvin) {
  const double t = kelvin / 300.0;
  return 1e-6 * (280.68 * std::pow(t, -1.9) + 511.45 * std::pow(t, -7.7) + 61.131 * std::pow(t, -19.6) +
                 0.45903 * std::pow(t, -40.0));
}

double water_dielectric_constant_exact(double kelvin) {
  const double t = kelvin / 300.0;
  return -43.7527 * std::pow(t, -0.05) + 299.504 * std::pow(t, -1.47) - 399.364 * std::pow(t, -2.11) +
         221.327 * std::pow(t, -2.31);
}

double water_vapour_pressure_exact_pa(double kelvin) {
  constexpr double n1 = 0.11670521452767e4, n2 = -0.72421316703206e6, n3 = -0.17073846940092e2, n4 = 0.12020824702470e5,
                   n5 = -0.32325550322333e7, n6 = 0.14915108613530e2, n7 = -0.48232657361591e4, n8 = 0.40511340542057e6,
                   n9 = -0.23855557567849, n10 = 0.65017534844798e3;
  const double s = kelvin + n9 / (kelvin - n10);
  const double a = s * s + n1 * s + n2;
  const double b = n3 * s * s + n4 * s + n5;
  const double c = n6 * s * s + n7 * s + n8;
  const double root = 2 * c / (-b + std::sqrt(b * b - 4 * a * c));
  return 1e6 * int_power(root, 4);
}

double water_pkw(double kelvin, double density_kg_m3) {
  const double d = density_kg_m3 / 1000.0;
  const double gas = 0.61415 + 4.825133e4 / kelvin - 6.770793e4 / (kelvin * kelvin) + 1.01021e7 / int_power(kelvin, 3);
  const double q = d * std::exp(-0.864671 + 8659.19 / kelvin - 22786.2 / (kelvin * kelvin) * std::pow(d, 2.0 / 3.0));
  const double liquid = std::log10(1 + q) - q / (1 + q) * d * (0.642044 - 56.8534 / kelvin - 0.375754 * d);
  return -12.0 * liquid + gas + 2 * std::log10(18.015268e-3);
}

double debye_hueckel_a(double kelvin) {
  // CODATA 2018.
  constexpr double avogadro = 6.02214076e23, charge = 1.602176634e-19, boltzmann = 1.380649e-23,
                   permittivity = 8.8541878128e-12;
  using std::numbers::ln10;
  using std::numbers::pi;
  const double bjerrum_m =
      charge * charge / (4 * pi * permittivity * water_dielectric_constant_exact(kelvin) * boltzmann * kelvin);
  return std::sqrt(2 * pi * avogadro * water_density_exact_kg_m3(kelvin)) * std::pow(bjerrum_m, 1.5) / ln10;
}

double water_density_kg_m3(double kelvin) { return table().read_one(kelvin, density); }
double water_ion_product(double kelvin) { return table().read_one(kelvin, ion_product); }
WaterDensityViscosity water_density_viscosity(double kelvin) {
  const auto place = table().place(kelvin);
  const auto read = [&place](Property i) {
    const double* c = place.first + i;
    return ((c[3 * property_count] * place.t + c[2 * property_count]) * place.t + c[property_count]) * place.t + c[0];
  };
  return {read(density), read(viscosity)};
}
double water_viscosity_pa_s(double kelvin) { return table().read_one(kelvin, viscosity); }
double water_vapour_pressure_pa(double kelvin) { return table().read_one(kelvin, vapour_pressure); }
double water_heat_capacity_j_kg_k(double kelvin) { return table().read_one(kelvin, heat_capacity); }
double water_dielectric_constant(double kelvin) { return table().read_one(kelvin, dielectric); }

}  // namespace wetrun
