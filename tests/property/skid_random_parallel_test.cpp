// Vessels in parallel: n arrays of one vessel are one array of n vessels, and the order in which branches are written does
// not matter, whatever flows, deposits and liquid.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "engine/core/units.h"
#include "engine/file/table.h"
#include "engine/step/simulation.h"
#include "models/skid/skid.h"
#include "tests/support/property_numbers.h"

namespace wetrun::test {
namespace {

const int configured = fixed_cases(25);

const char* const around = R"(
kind = "skid"
version = 1
name = "branches"
title = "arrays in parallel"
[site]
ambient = "20 degC"
[start]
water = "permeate"
temperature = "20 degC"
[node.feed]
elevation = "1 m"
volume = "20 L"
[node.concentrate]
elevation = "1 m"
volume = "20 L"
[node.permeate]
elevation = "1 m"
volume = "10 L"
[unit.waste]
type = "sewer"
[unit.concentrate_valve]
type = "valve"
from = "concentrate"
to = "waste.in"
kv = "40 m3/h/bar^0.5"
opening = 0.6
[unit.permeate_valve]
type = "valve"
from = "permeate"
to = "waste.in"
kv = "20 m3/h/bar^0.5"
opening = 1
[unit.feed_valve]
type = "valve"
from = "main.out"
to = "feed"
kv = "60 m3/h/bar^0.5"
opening = 1
)";

/// What all branches have in common, and what comes in.
struct Case {
  int vessels = 2, elements = 2;
  double main_pa = 3e5, kelvin = 300, acid_mol_m3 = 10, scale_kg_m2 = 0.01, permeability = 1e-11;
};

Case random_case() {
  Case c;
  c.vessels = *rc::gen::inRange(2, 6);
  c.elements = *rc::gen::inRange(1, 6);
  c.main_pa = uniform(0.5e5, 4e5);
  c.kelvin = uniform(283, 315);
  c.acid_mol_m3 = *rc::gen::element(0, 1) * logarithmic(1, 200);
  c.scale_kg_m2 = uniform(0, 0.02);
  c.permeability = logarithmic(3e-12, 3e-11);
  RC_LOG() << c.vessels << " vessels of " << c.elements << " elements, main " << c.main_pa << " Pa at " << c.kelvin
           << " K with " << c.acid_mol_m3 << " mol/m3 acid, scale " << c.scale_kg_m2 << " kg/m2, permeability "
           << c.permeability << "\n";
  return c;
}

std::string array_text(const Case& c, const std::string& name, int vessels) {
  return "[unit." + name +
         "]\ntype = \"array\"\nfeed = \"feed\"\nconcentrate = \"concentrate\"\npermeate = \"permeate\"\nelevation = "
         "\"1 m\"\n"
         "vessels = " +
         std::to_string(vessels) + "\nelements = " + std::to_string(c.elements) + "\npermeability = \"" +
         exact_quantity(c.permeability, "m/s/Pa") + "\"\n[[unit." + name +
         ".deposit]]\nfoulant = \"carbonate_scale\"\namount = \"" + exact_quantity(c.scale_kg_m2, "kg/m2") +
         "\"\nprofile = \"tail\"\n";
}

Simulation plant(const Case& c, const std::vector<std::pair<std::string, int>>& branches) {
  std::string text = std::string(around) + "[water.cleaner]\nchloride = \"" + exact_quantity(c.acid_mol_m3, "mol/m3") +
                     "\"\n[unit.main]\ntype = \"header\"\npressure = \"" + exact_quantity(c.main_pa, "Pa") +
                     "\"\nwater = \"cleaner\"\nelevation = \"1 m\"\ntemperature = \"" + exact_quantity(c.kelvin, "K") +
                     "\"\n";
  for (const auto& [name, vessels] : branches) text += array_text(c, name, vessels);
  return Simulation(build_skid(Document::parse(text, "branches.toml")).plant);
}

void run(Simulation& sim, double seconds) {
  while (sim.time_s() < seconds - 1e-9) sim.step();
}

bool close(double a, double b, double scale) { return std::abs(a - b) <= 1e-7 * scale; }

// The equations are the same but for the order of sums; legs are chosen by errors that are the same, too.
RC_GTEST_PROP(ParallelRandom, NArraysOfOneVesselAreOneOfNVessels, ()) {
  const Case c = random_case();
  std::vector<std::pair<std::string, int>> branches;
  for (int i = 0; i < c.vessels; ++i) branches.emplace_back("array_" + std::to_string(i), 1);
  Simulation one = plant(c, {{"array", c.vessels}}), many = plant(c, branches);
  for (const double until : {30.0, 400.0}) {
    run(one, until);
    run(many, until);
    RC_ASSERT(close(one.value("waste.volume"), many.value("waste.volume"), one.value("waste.volume")));
    RC_ASSERT(close(one.value("waste.calcium"), many.value("waste.calcium"), 1e-2 + one.value("waste.calcium")));
    for (const auto& [name, vessels] : branches) {
      for (const auto& [reading, share, scale] :
           {std::tuple{"dp", 1.0, 1e5}, std::tuple{"vessel_flow", 1.0, 1e-3},
            std::tuple{"permeate_flow", 1.0 / c.vessels, 1e-4}, std::tuple{"feed_pressure", 1.0, 1e5},
            std::tuple{"permeability", 1.0, 1e-11}, std::tuple{"salt_passage", 1.0, 1e-2},
            std::tuple{"deposit_carbonate_scale", 1.0 / c.vessels, 1.0}, std::tuple{"ph_min", 1.0, 10.0},
            std::tuple{"temperature", 1.0, 300.0}}) {
        const double of_one = share * one.value(std::string("array.") + reading),
                     of_many = many.value(name + "." + reading);
        if (!close(of_one, of_many, scale))
          RC_FAIL(name + "." + reading + " is " + std::to_string(of_many * 1e9) + "e-9, of the one " +
                  std::to_string(of_one * 1e9) + "e-9");
      }
    }
  }
}

RC_GTEST_PROP(ParallelRandom, TheOrderOfBranchesDoesNotMatter, ()) {
  const Case c = random_case();
  std::vector<std::pair<std::string, int>> branches;
  for (int i = 0; i < 4; ++i) branches.emplace_back("array_" + std::to_string(i), 1 + i % 3);
  Simulation first = plant(c, branches);
  const int turns = *rc::gen::inRange(1, 24);
  for (int i = 0; i < turns; ++i) std::next_permutation(branches.begin(), branches.end());
  Simulation other = plant(c, branches);
  run(first, 400);
  run(other, 400);
  for (const SignalInfo& row : first.plant().signals().rows()) {
    if (row.unit == "s") continue;  // times at which something was largest or smallest
    const double a = first.value(row.name), b = other.value(row.name);
    if (!close(a, b, std::abs(a) + 1e-3 * std::max(std::abs(row.max), std::abs(row.min))))
      RC_FAIL(row.name + " is " + std::to_string(b) + " instead of " + std::to_string(a));
  }
}

}  // namespace
}  // namespace wetrun::test
