#include "models/line/return_hose.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/mixing/rows.h"
#include "models/solution/species.h"
#include "models/valve/valve_law.h"

namespace wetrun {
namespace {

constexpr double edge_kv_m3_h = 500;     // falling over the edge into the vent pot costs next to nothing
constexpr double edge_cracking_pa = 10;  // the least the check law takes: 1 mm of liquid over the edge
constexpr double of_leg_at_once = 0.3, hardly_filling_m3_s = 1e-4;  // of what the leg holds, in a step's leg
constexpr double start_share = 0.02;                                // of the leg's volume: a wet wall

}  // namespace

double FallingLeg::outflow_m3_s(double volume_m3) const {
  return full_flow_m3_s * std::pow(std::max(volume_m3, 0.0) / full_volume_m3, 5.0 / 3.0);
}

double FallingLeg::outflow_slope_1_s(double volume_m3) const {
  return 5.0 / 3.0 * outflow_m3_s(volume_m3) / std::max(volume_m3, 1e-12);
}

FallingLeg falling_leg(double diameter_m, double length_m, double fall_m, double manning) {
  const double area = std::numbers::pi / 4 * diameter_m * diameter_m;
  const double slope = std::min(fall_m / length_m, 1.0);
  return {area * length_m, area * std::pow(diameter_m / 4, 2.0 / 3.0) * std::sqrt(slope) / manning};
}

ReturnHose::ReturnHose(std::string unit, FallingLeg leg, double diameter_m, std::vector<CellId> riser,
                       double heat_loss_w_k, double ambient_k)
    : unit_(std::move(unit)),
      leg_(leg),
      diameter_m_(diameter_m),
      riser_(std::move(riser)),
      heat_loss_w_k_(heat_loss_w_k),
      ambient_k_(ambient_k) {
  info_.type = "return_hose";
  info_.states = {{"heat_lost", "J", 0, "heat lost to the air"}};
  info_.readings = {skid_reading("flowing", "1", 0, 1, "liquid is seen or heard to run in the return"),
                    truth_reading("flow", "m3/s", -0.05, 0.05, "flow up the riser"),
                    truth_reading("fall", "m3/s", 0, 0.05, "flow out of the falling leg"),
                    truth_reading("holdup", "m3", 0, 1, "liquid in the falling leg, which drains back on a stop"),
                    skid_reading("backed_up", "1", 0, 1, "the leg is overrun and stands in the vent pot"),
                    skid_reading("twitch", "1", 0, 1, "the hose is seen to stiffen and move: 0 slack")};
}

void ReturnHose::bind(const Directory& directory) {
  leg_cell_ = directory.cell(unit_ + ".leg");
  vent_ = directory.node(unit_ + ".vent");
  foot_ = directory.node(unit_ + ".foot");
  riser_link_ = directory.link(unit_ + ".riser");
  fall_link_ = directory.link(unit_ + ".fall");
}

void ReturnHose::condition(const World& world, const OwnNumbers&, const Network&, NetworkState& state) const {
  state.pressure_pa[vent_.index()] = 0;
  state.pressure_pa[foot_.index()] = 0;
  const double held = world.cell(leg_cell_)[volume_m3];
  state.flow_m3_s[fall_link_.index()] = leg_.outflow_m3_s(held);
  state.content_slope_1_s[fall_link_.index()] = leg_.outflow_slope_1_s(held);
}

void ReturnHose::rates(const World& world, const OwnNumbers&, const Rates& rates) const {
  // A leg that fills or empties answers within a second: its outflow goes with a power of what it holds.
  const double filling = std::abs(rates.inflow_m3_s[leg_cell_.index()]);
  if (filling > hardly_filling_m3_s) rates.limit_leg(of_leg_at_once * world.cell(leg_cell_)[volume_m3] / filling);
  const double each = heat_loss_w_k_ / static_cast<double>(riser_.size());
  for (const CellId cell : riser_) {
    const double loss = each * (temperature_k(world.cell(cell).data()) - ambient_k_);
    rates.cell(cell)[heat_j] -= loss;
    rates.dxdt[0] += loss;
  }
}

void ReturnHose::observe(const World& world, const OwnNumbers&, std::span<double> r) const {
  const double held = world.cell(leg_cell_)[volume_m3];
  r[0] = world.flow(fall_link_) > 1e-5 ? 1 : 0;
  r[1] = world.flow(riser_link_);
  r[2] = world.flow(fall_link_);
  r[3] = held;
  r[4] = held > leg_.full_volume_m3 ? 1 : 0;
  r[5] = hose_twitch(r[1], diameter_m_);
}

void ReturnHose::holdings(const OwnNumbers& own, const Holdings& held) const { held.add(heat_j, own.x[0]); }

namespace {

std::unique_ptr<Unit> make_return_hose(UnitRequest& request) {
  const Table& table = request.table;
  const std::string& name = request.name;
  const std::string from = table.text("from"), to = table.text("to");
  const double high = table.quantity("high_point", "m", {-100, 100});
  const double fall = table.quantity("fall", "m", {0.02, 50});
  PipeSpec riser;
  riser.length_m = table.quantity("riser_length", "m", {0.05, 1000});
  riser.diameter_m = table.quantity("diameter", "m", {0.003, 1});
  riser.roughness_m = table.quantity_or("roughness", "m", riser.roughness_m, {0, 0.05 * riser.diameter_m});
  riser.minor_loss = table.quantity_or("fittings", "1", 2.0, {0, 1000});
  const double fall_length = table.quantity("fall_length", "m", {0.05, 1000});
  const double manning = table.quantity_or("manning", "1", 0.010, {0.005, 0.05});
  const double loss = table.quantity_or("heat_loss", "W/K", 1.2 * riser.length_m, {0, 1e5});
  if (fall > fall_length)
    throw table.error("fall_length", "the leg is shorter than its fall", "give at least the fall");
  const FallingLeg leg = falling_leg(riser.diameter_m, fall_length, fall, manning);
  if (0.6 * leg.full_volume_m3 / leg.full_flow_m3_s < 0.25)
    throw table.error("fall_length", "the falling leg empties faster than a step can follow", "give a longer leg");

  PlantBuilder& plant = request.plant;
  const double area = std::numbers::pi / 4 * riser.diameter_m * riser.diameter_m;
  std::vector<CellId> cells = add_pipe_cells(request, name + ".riser", area * riser.length_m, 0);
  const CellId leg_cell =
      plant.add_cell(name + ".leg", CellKind::inner, request.start_liquid(start_share * leg.full_volume_m3));
  plant.add_junction(name + ".edge", high, cells.back());
  plant.add_boundary(name + ".vent", high, leg_cell);
  plant.add_boundary(name + ".foot", high - fall, leg_cell);
  std::vector<CellId> chain(cells.begin(), cells.end() - 1);
  plant.add_link(name + ".riser", from, name + ".edge", std::make_shared<PipeLaw>(riser), chain);
  plant.add_link(
      name + ".over", name + ".edge", name + ".vent",
      std::make_shared<CheckValveLaw>(CheckValveSpec{.kv_full_m3_h = edge_kv_m3_h, .cracking_pa = edge_cracking_pa}));
  plant.add_given_flow(name + ".fall", name + ".foot", to);
  return std::make_unique<ReturnHose>(name, leg, riser.diameter_m, std::move(cells), loss, request.ambient_k);
}

}  // namespace

void register_return_hose(UnitRegistry& registry) {
  registry.add("return_hose", "return over a vented high point with a falling leg that drains back", make_return_hose);
}

}  // namespace wetrun
