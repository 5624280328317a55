#include "models/solution/dose.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "engine/core/units.h"
#include "models/skid/skid.h"
#include "trainer/command/output.h"
#include "trainer/command/verbs.h"
#include "trainer/exercise/json_text.h"

namespace wetrun {
namespace {

using nlohmann::ordered_json;

struct Options : Common {
  std::string volume, temperature = "25 degC", water = "permeate", chemical;
  std::string target_ph, low_ph, high_ph;
  std::vector<std::string> holding;
  std::optional<std::string> skid;
};

double number(const std::string& option, const std::string& text, const char* unit) {
  try {
    return parse_quantity(text, unit);
  } catch (const InputError& error) {
    throw InputError(option + ": " + error.wrong(), error.right());
  }
}

Water water_of(const Options& options) {
  if (options.skid) {
    const Document document = Document::load(Library::standard().find("skid", *options.skid).file);
    const std::optional<Table> waters = document.root().table_if("water");
    if (waters && waters->has(options.water)) {
      const Table table = waters->table(options.water);
      const Water water{"skid water", "from a skid file", "the skid file", read_water(table)};
      table.finish();
      return water;
    }
  }
  return find_water(options.water);
}

/// The liquid before the dose: the water, with what --holding says is in it already.
Amounts start_of(const Options& options, double volume, double kelvin) {
  Amounts start = water_amounts(water_of(options), volume, kelvin);
  for (const std::string& text : options.holding) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos || equals == 0)
      throw InputError("--holding " + text + ": not a chemical and a mass", "--holding CHEMICAL=\"12 kg\"");
    const double kg = number("--holding", text.substr(equals + 1), "kg");
    if (!(kg >= 0 && kg <= 500 * volume))
      throw InputError("--holding " + text + ": out of range", "0 kg to 500 kg per m3 of liquid");
    const Amounts more = chemical_amounts(find_chemical(text.substr(0, equals)), kg, kelvin);
    for (std::size_t j = 0; j < component_count; ++j) start[j] += more[j];
  }
  // A tank held at temperature: the heat of what was added before is gone.
  start[heat_j] = heat_of(start[volume_m3], kelvin);
  return start;
}

void need_range(const std::string& option, double value, double low, double high, const char* unit) {
  if (!(value >= low && value <= high))
    throw InputError(fmt::format("{} {} is out of range", option, format_quantity(value, unit)),
                     fmt::format("{} to {}", format_quantity(low, unit), format_quantity(high, unit)));
}

int make_dose(const Options& options) {
  OutFolder out(options.out);
  const double volume = number("--volume", options.volume, "m3");
  const double kelvin = number("--temperature", options.temperature, "K");
  need_range("--volume", volume, 1e-6, 1e4, "m3");
  need_range("--temperature", kelvin, 273.15, 373.15, "K");
  const bool band = !options.low_ph.empty() || !options.high_ph.empty();
  if (band == !options.target_ph.empty())
    throw InputError("dose needs a target", "--target-ph PH, or both --low-ph PH and --high-ph PH");
  if (band && (options.low_ph.empty() || options.high_ph.empty()))
    throw InputError("a discharge band has two ends", "both --low-ph PH and --high-ph PH");
  const Chemical& chemical = find_chemical(options.chemical);
  const Amounts start = start_of(options, volume, kelvin);
  Dose result;
  ordered_json all;
  std::string more;
  if (band) {
    const double low = number("--low-ph", options.low_ph, "pH"), high = number("--high-ph", options.high_ph, "pH");
    if (!(low < high)) throw InputError("--low-ph is not below --high-ph", "a band such as 6 to 9");
    const Neutralisation found = neutralisation(start, chemical, low, high);
    result = found.aim;
    more = fmt::format("  enters the band at {:.4g} kg and leaves it at {:.4g} kg\n", found.least_kg, found.most_kg);
    all["least_kg"] = found.least_kg;
    all["most_kg"] = found.most_kg;
  } else {
    result = correction(start, chemical, number("--target-ph", options.target_ph, "pH"));
  }
  ordered_json json = {{"mass_kg", result.mass_kg}, {"ph_start", result.ph_start},
                       {"ph_end", result.ph_end},   {"ionic_strength_mol_kg", result.ionic_strength_mol_kg},
                       {"heat_kj", result.heat_kj}, {"temperature_rise_k", result.temperature_rise_k}};
  for (const auto& [key, value] : all.items()) json[key] = value;
  std::string text = fmt::format("DOSE  {:.4g} kg of {}\n", result.mass_kg, chemical.title);
  text += fmt::format("  {} at {}: pH {:.2f} -> {:.2f}, ionic strength {:.3g} mol/kg\n", format_quantity(volume, "m3"),
                      format_quantity(kelvin, "K"), result.ph_start, result.ph_end, result.ionic_strength_mol_kg);
  text += more;
  text += fmt::format("  heat of solution {:.3g} kJ, {:+.2f} K if none of it is lost\n", result.heat_kj,
                      result.temperature_rise_k);
  text += fmt::format("  {}: {}. {}\n", chemical.form, chemical.hazards, chemical.safety);
  text += "  Water first, chemical into water, slowly. The safety data sheet and local rules come first.\n";
  out.finish({{"dose.json", json_text(json)}}, nullptr);
  print_result(options.json, text, json_text(json));
  return exit_done;
}

}  // namespace

void add_dose(CLI::App& app, Chosen& chosen) {
  CLI::App* verb = app.add_subcommand("dose", "make-up, correction and neutralisation amounts");
  const auto o = std::make_shared<Options>();
  verb->add_option("--volume", o->volume, "of the water or batch, e.g. \"1.5 m3\"")->required()->option_text("VOLUME");
  verb->add_option("--temperature", o->temperature, "default 25 C")->option_text("TEMPERATURE");
  verb->add_option("--water", o->water, "pure, permeate, ... or with --skid a water of that file (default permeate)")
      ->option_text("WATER");
  verb->add_option("--skid", o->skid, "skid file whose waters may be named")->option_text("SKID");
  verb->add_option("--holding", o->holding, "what the batch holds already; repeatable (for corrections)")
      ->option_text("CHEMICAL=MASS")
      ->take_all()
      ->expected(1);
  verb->add_option("--chemical", o->chemical, "what is added (wetrun list chemicals)")
      ->required()
      ->option_text("CHEMICAL");
  verb->add_option("--target-ph", o->target_ph, "pH to reach, e.g. 2.5")->option_text("PH");
  verb->add_option("--low-ph", o->low_ph, "neutralisation: lower end of the discharge band")->option_text("PH");
  verb->add_option("--high-ph", o->high_ph, "neutralisation: upper end")->option_text("PH");
  add_common(*verb, *o, false);
  verb->callback([&chosen, o] { chosen = [o] { return make_dose(*o); }; });
}

}  // namespace wetrun
