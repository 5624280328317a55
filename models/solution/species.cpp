#include "models/solution/species.h"

namespace wetrun {

const std::array<ComponentInfo, component_count> component_info = {{
    {"volume", "m3", 0, "volume of liquid"},
    {"heat", "J", 0, "heat above 0 degC"},
    {"proton", "mol", 1, "H+ less OH- added (TOTH)"},
    {"sodium", "mol", 1, "sodium, also standing for potassium"},
    {"ammonia", "mol", 0, "ammonia in all forms, counted as NH3"},
    {"calcium", "mol", 2, "calcium in all dissolved forms"},
    {"magnesium", "mol", 2, "magnesium in all dissolved forms"},
    {"iron", "mol", 3, "iron(III) in all dissolved forms"},
    {"chloride", "mol", -1, "chloride"},
    {"sulfate", "mol", -2, "sulfate in all dissolved forms"},
    {"carbonate", "mol", -2, "dissolved carbonate and carbon dioxide, counted as CO3(2-)"},
    {"citrate", "mol", -3, "citrate in all forms, counted as Cit(3-)"},
    {"phosphate", "mol", -3, "phosphate in all forms, counted as PO4(3-)"},
    {"edta", "mol", -4, "EDTA in all forms, counted as Y(4-)"},
    {"silica", "mol", 0, "dissolved silica, counted as Si(OH)4"},
    {"surfactant", "mol", -1, "dodecyl sulfate"},
    {"hypochlorite", "mol", -1, "hypochlorite, hypochlorous acid and chlorine, counted as OCl-"},
    {"organic", "kg", 0, "dissolved organic matter"},
    {"solid_carbonate", "kg", 0, "suspended calcium carbonate"},
    {"solid_sulfate", "kg", 0, "suspended gypsum"},
    {"solid_iron", "kg", 0, "suspended iron oxyhydroxide"},
    {"solid_silicate", "kg", 0, "suspended silica and clay"},
    {"solid_organic", "kg", 0, "suspended organic gel"},
    {"solid_biofilm", "kg", 0, "suspended biofilm flocs"},
}};

// CaCO3, CaSO4.2H2O, FeOOH, SiO2 from IUPAC standard atomic weights.
const std::array<double, foulant_count> foulant_molar_mass_kg_mol = {0.100087, 0.17217, 0.08885, 0.060084, 0.0, 0.0};

namespace {

using Weights = std::array<double, component_count>;

constexpr Weights one(std::size_t component) {
  Weights w{};
  w[component] = 1;
  return w;
}

constexpr Weights with(Weights w, std::size_t component, double weight) {
  w[component] = weight;
  return w;
}

constexpr Weights charges() {
  Weights w{};
  w[proton] = w[sodium] = 1;
  w[calcium] = w[magnesium] = 2;
  w[iron] = 3;
  w[chloride] = w[surfactant] = w[hypochlorite] = -1;
  w[sulfate] = w[carbonate] = -2;
  w[citrate] = w[phosphate] = -3;
  w[edta] = -4;
  return w;
}

constexpr double per_calcite = 1 / 0.100087, per_gypsum = 1 / 0.17217, per_oxide = 1 / 0.08885,
                 per_silica = 1 / 0.060084;

}  // namespace

const std::array<Invariant, 17> invariants = {{
    {"water", one(volume_m3)},
    {"energy", one(heat_j)},
    {"charge", charges()},
    {"sodium", one(sodium)},
    {"ammonia", one(ammonia)},
    {"calcium", with(with(one(calcium), solid_carbonate, per_calcite), solid_sulfate, per_gypsum)},
    {"magnesium", one(magnesium)},
    {"iron", with(one(iron), solid_iron, per_oxide)},
    {"chlorine", with(one(chloride), hypochlorite, 1)},
    {"sulfate", with(one(sulfate), solid_sulfate, per_gypsum)},
    {"carbonate", with(one(carbonate), solid_carbonate, per_calcite)},
    {"citrate", one(citrate)},
    {"phosphate", one(phosphate)},
    {"edta", one(edta)},
    {"silica", with(one(silica), solid_silicate, per_silica)},
    {"surfactant", one(surfactant)},
    {"organic", with(with(one(organic), solid_organic, 1), solid_biofilm, 1)},
}};

double temperature_k(const double* amounts) {
  const double volume = amounts[volume_m3];
  if (!(volume > 0)) return 293.15;
  return 273.15 + amounts[heat_j] / (volumetric_heat_j_m3_k * volume);
}

}  // namespace wetrun
