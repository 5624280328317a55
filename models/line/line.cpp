#include "models/line/line.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/mixing/rows.h"
#include "models/solution/species.h"
#include "models/valve/valve_law.h"

namespace wetrun {
namespace {

constexpr double flow_max_m3_s = 0.05;
constexpr double cell_volume_m3 = 0.010;  // of a line that chooses its own number of cells
constexpr double bare_pipe_w_m_k = 1.2;   // loss a metre of 50 mm plastic pipe
constexpr double coupling_kv_m3_h = 60;   // a 50 mm quick coupling, common practice
constexpr double hose_weight_m = 1;       // length of filled hose whose weight the stream has to move
constexpr double elbow_k = 0.9;           // a long-radius bend at each end and a little waviness

}  // namespace

double hose_twitch(double flow_m3_s, double diameter_m) {
  const double speed = flow_m3_s / (std::numbers::pi / 4 * diameter_m * diameter_m);
  const double weight = gravity_m_s2 * hose_weight_m / std::numbers::sqrt2;
  return speed * speed / (speed * speed + weight);
}

PipeSpec read_pipe(const Table& table) {
  PipeSpec spec;
  spec.length_m = table.quantity("length", "m", {0.05, 1000});
  spec.diameter_m = table.quantity("diameter", "m", {0.003, 1});
  spec.roughness_m = table.quantity_or("roughness", "m", spec.roughness_m, {0, 0.05 * spec.diameter_m});
  spec.minor_loss = table.quantity_or("fittings", "1", elbow_k, {0, 1000});
  return spec;
}

std::vector<CellId> add_pipe_cells(UnitRequest& request, const std::string& name, double volume_m3, int count) {
  if (count == 0) count = static_cast<int>(std::clamp(std::round(volume_m3 / cell_volume_m3), 1.0, 8.0));
  std::vector<CellId> cells;
  for (int k = 1; k <= count; ++k)
    cells.push_back(request.plant.add_cell(name + "." + std::to_string(k), CellKind::inner,
                                           request.start_liquid(volume_m3 / count)));
  return cells;
}

Line::Line(std::string link, std::vector<CellId> cells, double heat_loss_w_k, double ambient_k)
    : LinkUnit(std::move(link)), cells_(std::move(cells)), heat_loss_w_k_(heat_loss_w_k), ambient_k_(ambient_k) {
  info_.type = "line";
  info_.states = {{"heat_lost", "J", 0, "heat lost to the air"}};
  info_.readings = {truth_reading("flow", "m3/s", -flow_max_m3_s, flow_max_m3_s, "flow in the line"),
                    truth_reading("temperature", "K", 263.15, 393.15, "temperature at the far end")};
}

void Line::rates(const World& world, const OwnNumbers&, const Rates& rates) const {
  const double each = heat_loss_w_k_ / static_cast<double>(cells_.size());
  for (const CellId cell : cells_) {
    const double loss = each * (temperature_k(world.cell(cell).data()) - ambient_k_);
    rates.cell(cell)[heat_j] -= loss;
    rates.dxdt[0] += loss;
  }
}

void Line::observe(const World& world, const OwnNumbers&, std::span<double> r) const {
  r[0] = world.flow(link_);
  r[1] = temperature_k(world.cell(cells_.back()).data());
}

void Line::holdings(const OwnNumbers& own, const Holdings& held) const { held.add(heat_j, own.x[0]); }

CoupledPipeLaw::CoupledPipeLaw(const PipeSpec& pipe, double coupling_kv)
    : pipe_(pipe),
      coupling_(std::make_shared<ValveLaw>(
          ValveSpec{.kv_full_m3_h = coupling_kv, .characteristic = ValveCharacteristic::ball, .rangeability = 50})) {}

LinkEval CoupledPipeLaw::eval(double flow_m3_s, double p_a_pa, const Fluid& fluid,
                              std::span<const double> settings) const {
  const double no_extra = 0.0;
  const double opening[2] = {settings[0], 0.0};
  const LinkEval pipe = pipe_.eval(flow_m3_s, p_a_pa, fluid, {&no_extra, 1});
  const LinkEval coupling = coupling_->eval(flow_m3_s, p_a_pa, fluid, opening);
  return {pipe.drop_pa + coupling.drop_pa, pipe.slope_flow + coupling.slope_flow, 0.0};
}

namespace {

enum HoseMemory : std::size_t { end, mistaken, fault_seen };

}  // namespace

Hose::Hose(std::string right_link, std::string wrong_link, double diameter_m, double action_s, int connected)
    : right_name_(std::move(right_link)), wrong_name_(std::move(wrong_link)), diameter_m_(diameter_m) {
  info_.type = "hose";
  info_.memory = {{"end", "1", static_cast<double>(connected), "where the hose ends: 0 nowhere, 1 right, 2 wrong port"},
                  quiet_memory("mistaken", "1", 0, "the connection was made at the wrong port by mistake"),
                  quiet_memory("fault_seen", "1", 0, "wrong_port fault at the last step")};
  info_.controls = {
      switch_control("connected_to", "1", 0, 2, connected, action_s, "0 taken off, 1 its own port, 2 the other port")};
  info_.faults = {fault_row("wrong_port", "1", 0, 1, 0, "1: somebody put the hose on the wrong port")};
  info_.readings = {skid_reading("end", "1", 0, 2, "where the hose ends: 0 nowhere, 1 right port, 2 wrong port"),
                    truth_reading("flow", "m3/s", -flow_max_m3_s, flow_max_m3_s, "flow in the hose"),
                    skid_reading("twitch", "1", 0, 1, "the hose is seen to stiffen and move: 0 slack")};
}

void Hose::bind(const Directory& directory) {
  right_ = directory.link(right_name_);
  wrong_ = directory.link(wrong_name_);
}

void Hose::decide(const World&, const Decision& d) const {
  auto& m = d.memory;
  const double asked = std::round(d.control[0]);
  if (d.fault[0] > 0.5 && m[fault_seen] < 0.5) m[mistaken] = 1;
  m[fault_seen] = d.fault[0];
  if (asked != 1 && m[end] != 0) m[mistaken] = 0;  // taken off: hands see the mistake
  m[end] = asked == 1 && m[mistaken] > 0.5 ? 2 : asked;
}

void Hose::condition(const World&, const OwnNumbers& own, const Network& network, NetworkState& state) const {
  state.setting(network, right_)[0] = own.memory[end] == 1 ? 1 : 0;
  state.setting(network, wrong_)[0] = own.memory[end] == 2 ? 1 : 0;
}

void Hose::observe(const World& world, const OwnNumbers& own, std::span<double> r) const {
  r[0] = own.memory[end];
  r[1] = world.flow(right_) + world.flow(wrong_);
  r[2] = hose_twitch(r[1], diameter_m_);
}

namespace {

double volume_of(const PipeSpec& spec) {
  return std::numbers::pi / 4 * spec.diameter_m * spec.diameter_m * spec.length_m;
}

std::unique_ptr<Unit> make_line(UnitRequest& request) {
  const Table& table = request.table;
  const std::string from = table.text("from"), to = table.text("to");
  const PipeSpec spec = read_pipe(table);
  const auto count = static_cast<int>(table.count_or("cells", 0, 0, 200));
  const double loss = table.quantity_or("heat_loss", "W/K", bare_pipe_w_m_k * spec.length_m, {0, 1e5});
  std::vector<CellId> cells = add_pipe_cells(request, request.name, volume_of(spec), count);
  const std::string link = request.name + ".pipe";
  request.plant.add_link(link, from, to, std::make_shared<PipeLaw>(spec), cells);
  return std::make_unique<Line>(link, std::move(cells), loss, request.ambient_k);
}

std::unique_ptr<Unit> make_hose(UnitRequest& request) {
  const Table& table = request.table;
  const std::string from = table.text("from"), to = table.text("to"), wrong_to = table.text("wrong_to");
  if (to == wrong_to)
    throw table.error("wrong_to", "the wrong port is the same node as the right one", "name another node");
  const PipeSpec spec = read_pipe(table);
  const double action = table.quantity_or("action", "s", 60, {1, 3600});
  const auto connected = static_cast<int>(table.count_or("connected", 1, 0, 2));
  const auto law = std::make_shared<CoupledPipeLaw>(spec, coupling_kv_m3_h);
  const std::string right = request.name + ".right", wrong = request.name + ".wrong";
  request.plant.add_link(right, from, to, law, add_pipe_cells(request, right, volume_of(spec), 1));
  request.plant.add_link(wrong, from, wrong_to, law, add_pipe_cells(request, wrong, volume_of(spec), 1));
  return std::make_unique<Hose>(right, wrong, spec.diameter_m, action, connected);
}

}  // namespace

void register_line(UnitRegistry& registry) {
  registry.add("line", "run of pipe or hose with friction, hold-up and heat loss", make_line);
}
void register_hose(UnitRegistry& registry) {
  registry.add("hose", "hose with couplings, which can end at the wrong port", make_hose);
}

}  // namespace wetrun
