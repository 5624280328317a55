#include "models/array/array_spec.h"

namespace wetrun {

void spread_deposit(std::vector<Deposit>& deposits, Foulant foulant, double kg_m2, double lean, double fixed_share) {
  const auto n = static_cast<double>(deposits.size());
  for (std::size_t i = 0; i < deposits.size(); ++i) {
    const double place = n > 1 ? 2.0 * static_cast<double>(i) / (n - 1) - 1.0 : 0.0;
    const double here = kg_m2 * (1.0 + lean * place);
    deposits[i].mobile[foulant] += here * (1.0 - fixed_share);
    deposits[i].fixed[foulant] += here * fixed_share;
  }
}

Foulant foulant_word(const Table& table, std::string_view key) {
  std::vector<std::string> names;
  for (const FoulantInfo& info : foulant_info) names.emplace_back(info.name);
  const std::string word = table.word(key, names);
  for (std::size_t f = 0; f < foulant_count; ++f) {
    if (word == names[f]) return static_cast<Foulant>(f);
  }
  stop_for_bug(__FILE__, __LINE__, "word() returns one of its list");
}

namespace {

void read_channel(const Table& table, ArraySpec& spec) {
  ChannelSpec& channel = spec.channel;
  channel.vessels = static_cast<double>(spec.vessels);
  channel.length_m = table.quantity_or("element_length", "m", 1.016, {0.1, 3});              // a 40-inch element
  spec.channel_height_m = table.quantity_or("spacer_height", "m", 0.79e-3, {0.2e-3, 3e-3});  // 31 mil, common
  const double porosity = table.quantity_or("spacer_porosity", "1", 0.88, {0.3, 1.0});       // common, no source
  channel.hydraulic_diameter_m = spacer_hydraulic_diameter_m(spec.channel_height_m, porosity);
  // Two leaves face each channel: open volume = area / 2 x height x porosity.
  spec.channel_volume_m3 = 0.5 * spec.membrane_area_m2 * spec.channel_height_m * porosity;
  const double active_length = table.quantity_or("leaf_length", "m", 0.9, {0.05, 3});  // length wetted, less glue lines
  channel.area_m2 = spec.channel_volume_m3 / active_length;
}

void read_deposits(const Table& table, ArraySpec& spec) {
  spec.deposits.assign(spec.elements, Deposit{});
  for (const Table& row : table.tables("deposit")) {
    const Foulant foulant = foulant_word(row, "foulant");
    const double amount = row.quantity("amount", "kg/m2", {0, 0.2});
    const std::string profile = row.word_or("profile", {"even", "lead", "tail"}, "even");
    const double lean = profile == "lead" ? -0.6 : profile == "tail" ? 0.6 : 0.0;
    const double fixed = row.quantity_or("fixed", "1", 0.0, {0, 1});
    spread_deposit(spec.deposits, foulant, amount, lean, fixed);
  }
  for (const Deposit& deposit : spec.deposits) {
    if (2 * deposit_thickness(deposit) > 0.9 * spec.channel_height_m) {
      throw table.error("deposit", "the deposits fill more than nine tenths of a feed channel", "smaller amounts");
    }
  }
}

}  // namespace

ArraySpec read_array_spec(const Table& table) {
  ArraySpec spec;
  spec.feed = table.text("feed");
  spec.concentrate = table.text("concentrate");
  spec.permeate = table.text("permeate");
  spec.elevation_m = table.quantity("elevation", "m", {-10, 50});
  spec.vessels = static_cast<std::size_t>(table.count("vessels", 1, 200));
  spec.elements = static_cast<std::size_t>(table.count("elements", 1, 8));
  spec.membrane_area_m2 = table.quantity_or("membrane_area", "m2", 37, {0.5, 60});  // eight-inch element, common
  read_channel(table, spec);
  spec.permeate_volume_m3 =
      table.quantity_or("permeate_volume", "m3", 0.008, {1e-4, 1});  // tubes of a vessel; invented
  // 3.4 L/m2/h/bar and 1 %: order of a brackish-water element, common practice, no source.
  spec.permeability_m_s_pa = table.quantity_or("permeability", "m/s/Pa", 9.5e-12, {1e-13, 1e-9});
  spec.salt_passage = table.quantity_or("salt_passage", "1", 0.01, {0, 0.5});
  spec.element_dp_limit_pa = table.quantity_or("element_dp_limit", "Pa", 1.0e5, {1e3, 1e6});  // makers' manuals
  spec.vessel_dp_limit_pa = table.quantity_or("vessel_dp_limit", "Pa", 3.5e5, {1e3, 2e6});    // makers' manuals
  spec.feed_limit_pa = table.quantity_or("feed_pressure_limit", "Pa", 4.0e5, {1e4, 1e7});     // 60 psi, most manuals
  spec.back_limit_pa = table.quantity_or("back_pressure_limit", "Pa", 0.3e5, {1e3, 1e6});     // common practice
  spec.reference_flow_m3_s = table.quantity_or("reference_flow", "m3/s", 8.0 / 3600, {1e-6, 1});
  spec.envelope = Envelope::read(table, "envelope", Envelope::polyamide());
  read_deposits(table, spec);
  return spec;
}

}  // namespace wetrun
