// What a speciation costs: cold, from the last pH, from a kept start; and against a plain bisection in the same
// process.
//
// Every liquid is walked: before each solve all its totals, its heat and its volume move by a random part of at most the
// step given (1e-4 is half a second of a clean, 1e-2 is a tank being dosed). The bisection halves pH until it is known to
// 1e-9, and at each pH repeats ionic strength and free metals until they stand to 1e-10: the same constants, forms and
// Davies coefficients, read through the public headers. Argument: seconds in all (2).
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <functional>
#include <string>
#include <vector>

#include "models/solution/constants.h"
#include "models/solution/forms.h"
#include "models/solution/properties.h"
#include "models/solution/solution.h"
#include "tests/support/liquids.h"

namespace wetrun {
namespace {

using test::molal;

struct Case {
  const char* name;
  Amounts liquid;
};

Amounts neutral(Amounts a) {
  a[proton] = 0;
  a[proton] = -test::formal_charge(a);
  return a;
}

// 0.4 mol/kg NaOH is 1.6 %; 0.1 mol/kg citric acid is 2 %.
std::vector<Case> cases() {
  constexpr double t = 308.15;
  const Amounts tap = neutral(molal(t, {{sodium, 2e-3},
                                        {calcium, 2e-3},
                                        {magnesium, 8e-4},
                                        {chloride, 2e-3},
                                        {sulfate, 1e-3},
                                        {carbonate, 4.5e-3},
                                        {silica, 2e-4}}));
  Amounts acid = tap;
  acid[citrate] = 0.1;
  acid[iron] = 2e-3;
  acid[calcium] = 8e-3;
  Amounts chelant = tap;
  chelant[edta] = 0.026;
  chelant[sodium] = 0.12;
  chelant[iron] = 5e-4;
  Amounts all = chelant;
  all[citrate] = 0.02;
  all[phosphate] = 2e-3;
  all[ammonia] = 1e-3;
  all[hypochlorite] = 1e-4;
  all[surfactant] = 1e-3;
  return {{"citric acid alone", neutral(molal(t, {{citrate, 0.1}, {sodium, 0.02}}))},
          {"caustic soda", neutral(molal(t, {{sodium, 0.025}, {carbonate, 1e-3}, {chloride, 2e-3}}))},
          {"mains water", tap},
          {"citric acid on scale", neutral(acid)},
          {"EDTA on scale", neutral(chelant)},
          {"everything", neutral(all)}};
}

// --- the reference ---------------------------------------------------------------------------------------------------

struct PoolOf {
  std::vector<Form> forms;
  double sum = 0, protons = 0, squares = 0;  // weights, and weighted with p and z^2
  void weigh(double h, double g, const ConstantSet& k) {
    const Powers powers = powers_of(h, g);
    sum = protons = squares = 0;
    for (const Form& f : forms) {
      const double w = powers.of(f, k);
      sum += w;
      protons += f.protons * w;
      squares += f.charge * f.charge * w;
    }
  }
};

template <std::size_t n>
PoolOf pool(const std::array<Form, n>& f) {
  return {std::vector<Form>(f.begin(), f.end())};
}

class Bisection {
public:
  explicit Bisection(const Amounts& a) {
    read_constants(temperature_k(a.data()), k_);
    const double kg = a[volume_m3] * k_.density_kg_m3();
    toth_ = a[proton] / kg;
    const PoolOf none;
    const Component metals[] = {calcium, magnesium, iron, sodium, chloride};
    const PoolOf metal_pools[] = {pool(forms::calcium), pool(forms::magnesium), pool(forms::iron), pool(forms::sodium),
                                  pool(forms::chloride)};
    for (std::size_t m = 0; m < 5; ++m) metals_.push_back({a[metals[m]] / kg, a[metals[m]] / kg, metal_pools[m]});
    const auto ligand = [&](Component c, PoolOf own, std::vector<PoolOf> pairs) {
      pairs.resize(5);
      if (a[c] > 0) ligands_.push_back({a[c] / kg, 0, std::move(own), std::move(pairs)});
    };
    ligand(carbonate, pool(forms::carbonate), {pool(forms::ca_carbonate), pool(forms::mg_carbonate)});
    ligand(citrate, pool(forms::citrate), {pool(forms::ca_citrate), pool(forms::mg_citrate), pool(forms::fe_citrate)});
    ligand(phosphate, pool(forms::phosphate),
           {pool(forms::ca_phosphate), pool(forms::mg_phosphate), pool(forms::fe_phosphate)});
    ligand(edta, pool(forms::edta),
           {pool(forms::ca_edta), pool(forms::mg_edta), pool(forms::fe_edta), pool(forms::na_edta)});
    ligand(sulfate, pool(forms::sulfate), {pool(forms::ca_sulfate), pool(forms::mg_sulfate), pool(forms::fe_sulfate)});
    ligand(hypochlorite, pool(forms::hypochlorite), {none, none, none, none, pool(forms::chlorine)});
    ligand(ammonia, pool(forms::ammonia), {});
    ligand(silica, pool(forms::silica), {});
    surfactant_ = a[surfactant] / kg;
  }
  double ph() {
    double low = -1, high = 15;
    while (high - low > 1e-9) {
      const double middle = 0.5 * (low + high);
      (excess(middle) > 0 ? low : high) = middle;
    }
    return 0.5 * (low + high);
  }

private:
  struct Metal {
    double total, activity;
    PoolOf own;
  };
  struct Ligand {
    double total, activity;
    PoolOf own;
    std::vector<PoolOf> pairs;
  };

  // R1 of solution.cpp at a pH.
  double excess(double ph) {
    const double h = std::pow(10.0, -ph);
    double strength = strength_, r1 = 0;
    for (int round = 0; round < 200; ++round) {
      const double q = std::min(std::sqrt(strength), 0.6284738169483293), f = q / (1 + q) - 0.3 * q * q;
      const double g = std::exp(k_.davies_slope() * f);
      for (Metal& m : metals_) m.own.weigh(h, g, k_);
      for (Ligand& l : ligands_) {
        l.own.weigh(h, g, k_);
        for (PoolOf& p : l.pairs) p.weigh(h, g, k_);
      }
      complex();
      const double hydrogen = h * g, hydroxide = k_[k_water] / h * g;
      r1 = hydrogen - hydroxide - toth_;
      double squares = hydrogen + hydroxide + surfactant_;
      for (const Metal& m : metals_) {
        r1 += m.activity * m.own.protons;
        squares += m.activity * m.own.squares;
      }
      for (const Ligand& l : ligands_) {
        double p = l.own.protons, z = l.own.squares;
        for (std::size_t m = 0; m < 5; ++m) {
          p += metals_[m].activity * l.pairs[m].protons;
          z += metals_[m].activity * l.pairs[m].squares;
        }
        r1 += l.activity * p;
        squares += l.activity * z;
      }
      const double before = strength;
      strength = 0.5 * squares;
      if (std::abs(strength - before) <= 1e-10 * strength) break;
    }
    strength_ = strength;
    return r1;
  }

  // Free ligands from free metals and back until they stand, metals moved by the root of their excess.
  void complex() {
    for (int round = 0; round < 2000; ++round) {
      double worst = 0;
      for (Ligand& l : ligands_) {
        double s = l.own.sum;
        for (std::size_t m = 0; m < 5; ++m) s += metals_[m].activity * l.pairs[m].sum;
        l.activity = l.total / s;
      }
      for (std::size_t m = 0; m < 5; ++m) {
        if (!(metals_[m].total > 0)) continue;
        double s = metals_[m].own.sum;
        for (const Ligand& l : ligands_) s += l.activity * l.pairs[m].sum;
        const double ratio = metals_[m].total / (metals_[m].activity * s);
        metals_[m].activity *= std::sqrt(ratio);
        worst = std::max(worst, std::abs(ratio - 1));
      }
      if (worst <= 1e-10) return;
    }
  }

  ConstantSet k_;
  double toth_ = 0, surfactant_ = 0, strength_ = 0.01;
  std::vector<Metal> metals_;
  std::vector<Ligand> ligands_;
};

// --- measuring -------------------------------------------------------------------------------------------------------

struct Random {
  std::uint64_t state = 88172645463325252u;
  double symmetric() {
    state ^= state << 13, state ^= state >> 7, state ^= state << 17;
    return static_cast<double>(state >> 11) * 0x1p-52 - 1;
  }
};

std::vector<Amounts> walk(const Amounts& from, double step) {
  Random random;
  std::vector<Amounts> way(512, from);
  for (std::size_t i = 1; i < way.size(); ++i)
    for (std::size_t c = 0; c < component_count; ++c)
      way[i][c] = 0.99 * way[i - 1][c] * (1 + step * random.symmetric()) + 0.01 * from[c];
  for (Amounts& a : way) a = neutral(a);
  return way;
}

double sink = 0;

// Nanoseconds a call of `work` on the liquids of a way, one after another: the best round in that time, because the
// machine has other things to do.
double nanoseconds(const std::vector<Amounts>& way, double seconds, const std::function<double(const Amounts&)>& work,
                   std::size_t round = 32) {  // calls between looks at the clock
  using Clock = std::chrono::steady_clock;
  double best = 1e300;
  std::size_t done = 0;
  const auto end = Clock::now() + std::chrono::duration<double>(seconds);
  do {
    const auto begin = Clock::now();
    for (std::size_t i = 0; i < round; ++i) sink += work(way[done++ % way.size()]);
    const std::chrono::duration<double> spent = Clock::now() - begin;
    if (done > 4 * round) best = std::min(best, spent.count() / static_cast<double>(round) * 1e9);
  } while (Clock::now() < end || best > 1e299);
  return best;
}

// The same for neighbours on the way, eight cells in a call.
double nanoseconds_of_four(const std::vector<Amounts>& way, double seconds) {
  constexpr std::size_t cells = 8;
  std::array<std::array<double, start_count>, cells> start{};
  std::array<double*, cells> starts;
  for (std::size_t i = 0; i < cells; ++i) starts[i] = start[i].data();
  std::array<const double*, cells> amounts;
  std::size_t at = 0;
  const auto eight = [&](const Amounts&) {
    for (std::size_t i = 0; i < cells; ++i) amounts[i] = way[(at + i) % way.size()].data();
    ++at;
    solve_ph_all(amounts, starts);
    return start[0][start_ph];
  };
  return nanoseconds(way, seconds, eight) / cells;
}

void measure(const Case& c, double seconds) {
  const std::vector<Amounts> way = walk(c.liquid, 1e-4), far = walk(c.liquid, 1e-2);
  double ph = 7;
  std::array<double, start_count> start{};
  const double cold = nanoseconds(way, seconds, [](const Amounts& a) { return solve_ph(a); });
  const double last = nanoseconds(way, seconds, [&ph](const Amounts& a) { return ph = solve_ph(a, ph); });
  const auto from_start = [&start](const Amounts& a) { return solve_ph(a, start); };
  const double kept = nanoseconds(way, seconds, from_start), moved = nanoseconds(far, seconds, from_start);
  const double four = nanoseconds_of_four(way, seconds);
  const double whole = nanoseconds(way, seconds, [&start](const Amounts& a) { return speciate(a, start).ph; });
  const double whole_cold = nanoseconds(way, seconds, [](const Amounts& a) { return speciate(a).ph; });
  double away = 0;
  for (std::size_t i = 0; i < 4; ++i) away = std::max(away, std::abs(Bisection(way[i]).ph() - solve_ph(way[i])));
  const double bisection = nanoseconds(
      way, seconds, [](const Amounts& a) { return Bisection(a).ph(); }, 2);
  std::printf("%-22s %6.2f %8.0f %8.0f %8.0f %8.0f %8.0f %8.0f %8.0f %10.0f %6.0fx %6.0fx %8.1e\n", c.name,
              solve_ph(c.liquid), cold, last, kept, moved, four, whole_cold, whole, bisection, bisection / kept,
              bisection / four, away);
}

void measure_properties(const Amounts& liquid, double seconds) {
  const std::vector<Amounts> way = walk(liquid, 1e-4);
  std::printf(
      "\nproperties of a cell [ns]: density %.1f, viscosity %.1f, both %.1f, osmotic pressure %.1f, all constants "
      "%.1f\n",
      nanoseconds(way, seconds, [](const Amounts& a) { return density_kg_m3(a.data()); }),
      nanoseconds(way, seconds, [](const Amounts& a) { return viscosity_pa_s(a.data()); }),
      nanoseconds(way, seconds,
                  [](const Amounts& a) {
                    const DensityViscosity p = liquid_properties(a.data());
                    return p.density_kg_m3 + p.viscosity_pa_s;
                  }),
      nanoseconds(way, seconds, [](const Amounts& a) { return osmotic_pressure_pa(a.data()); }),
      nanoseconds(way, seconds, [](const Amounts& a) {
        ConstantSet k;
        read_constants(temperature_k(a.data()), k);
        return k[k_water];
      }));
}

}  // namespace
}  // namespace wetrun

int main(int argc, char** argv) {
  const double seconds = argc > 1 ? std::max(std::atof(argv[1]), 0.1) : 2;
  const auto cases = wetrun::cases();
  const double each = seconds / static_cast<double>(cases.size() * 8 + 4);
  std::printf(
      "nanoseconds a call; ph: pH alone, all: the whole speciation; cold, from the last pH, from a kept start after a "
      "move\n"
      "of 1e-4 and of 1e-2, eight cells at once; ratios of the bisection to a kept start alone and to eight at once; "
      "how far\n"
      "the two are apart in pH\n");
  std::printf("%-22s %6s %8s %8s %8s %8s %8s %8s %8s %10s %7s %7s %8s\n", "liquid", "pH", "ph cold", "ph last",
              "ph kept", "kept1e-2", "ph of 8", "all cold", "all kept", "bisection", "alone", "of 8", "apart");
  for (const auto& c : cases) wetrun::measure(c, each);
  wetrun::measure_properties(cases[3].liquid, each);
  return std::isfinite(wetrun::sink) ? 0 : 1;
}
