#include "engine/step/leg.h"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace wetrun {
namespace {

constexpr double g = 0.29289321881345254;   // 1 - 1/sqrt(2)
constexpr double d = -0.70710678118654752;  // 1 - 1/(2g)
constexpr double positive_up_to = 2.4;      // throughputs of the fastest cell in one piece
constexpr int most_parts = 64;
constexpr double tolerance = 5e-3;            // of the estimate for a first-order method
constexpr double settled = 0.1;               // share of the tolerance by which prediction and correction may differ
constexpr double least_concentration = 1e-4;  // of any component, per m3: less counts as nothing
constexpr double round_off = 1e-9;            // of the largest concentration: that much below zero is no amount

/// What counts as little of a state, by its unit.
double little_of(std::string_view unit) {
  if (unit == "Pa") return 1e3;
  if (unit == "J") return 1e4;
  if (unit == "K" || unit == "s") return 1;
  if (unit == "1") return 1e-2;
  if (unit == "m3/s") return 1e-5;
  return 1e-3;  // m3, kg, kg/m2, mol, V
}

}  // namespace

LegStepper::LegStepper(std::shared_ptr<const Plant> plant, Machine& machine)
    : plant_(std::move(plant)),
      machine_(machine),
      transport_(*plant_),
      cells_(machine.cell_numbers()),
      n0_(machine.fresh_slopes()),
      n1_(machine.fresh_slopes()),
      mixed_(machine.fresh_picture()) {
  stage_.assign(plant_->x_size(), 0.0);
  predicted_ = stage_;
  inverse_scale_ = stage_;
  for (const Plant::Slot& slot : plant_->units())
    for (const NumberInfo& state : slot.unit->info().states) state_scale_.push_back(little_of(state.unit));
  peak_.assign(plant_->components(), 0.0);
  volume_start_.assign(plant_->cells().size(), 0.0);
  volume_end_ = volume_ = outflow_ = volume_start_;
  flow_.assign(plant_->network().links().size(), 0.0);
  slope_ = flow_;
}

void LegStepper::set_scales(const std::vector<double>& x) {
  const std::size_t n = plant_->components();
  std::fill(peak_.begin(), peak_.end(), least_concentration);
  const auto& cells = plant_->cells();
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (cells[c].kind != CellKind::inner) continue;
    const double per_m3 = 1 / std::max(x[c * n], least_volume_m3);
    for (std::size_t j = 0; j < n; ++j) peak_[j] = std::max(peak_[j], std::abs(x[c * n + j]) * per_m3);
  }
  for (std::size_t c = 0; c < cells.size(); ++c) {
    const double volume = cells[c].kind == CellKind::inner ? std::max(x[c * n], least_volume_m3) : 0;
    for (std::size_t j = 0; j < n; ++j)
      inverse_scale_[c * n + j] = volume > 0 ? 1 / (tolerance * volume * peak_[j]) : 0;
  }
  for (std::size_t i = cells_; i < x.size(); ++i)
    inverse_scale_[i] = 1 / (tolerance * std::max(std::abs(x[i]), state_scale_[i - cells_]));
}

Drive LegStepper::drive_at(double share, const LegEnd& start, const LegEnd& end, const Slopes& slopes) {
  const auto line = [share](const std::vector<double>& a, const std::vector<double>& b, std::vector<double>& out) {
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = a[i] + share * (b[i] - a[i]);
  };
  line(start.picture.network.flow_m3_s, end.picture.network.flow_m3_s, flow_);
  line(start.picture.network.content_slope_1_s, end.picture.network.content_slope_1_s, slope_);
  line(volume_start_, volume_end_, volume_);
  return {flow_, slope_, volume_, slopes.exchange, slopes.pass};
}

void LegStepper::mix(double share, const LegEnd& start, const LegEnd& end) {
  const auto line = [share](const std::vector<double>& a, const std::vector<double>& b, std::vector<double>& out) {
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = a[i] + share * (b[i] - a[i]);
  };
  line(start.picture.network.flow_m3_s, end.picture.network.flow_m3_s, mixed_.network.flow_m3_s);
  line(start.picture.network.pressure_pa, end.picture.network.pressure_pa, mixed_.network.pressure_pa);
  line(start.picture.aux, end.picture.aux, mixed_.aux);
  std::copy(start.picture.network.fluid.begin(), start.picture.network.fluid.end(), mixed_.network.fluid.begin());
}

void LegStepper::first_stage(const std::vector<double>& x0, const Slopes& n0, const Drive& drive, double h_s) {
  const double a = g * h_s;
  for (std::size_t i = 0; i < cells_; ++i) stage_[i] = x0[i] + a * n0.rate[i];
  for (std::size_t i = cells_; i < x0.size(); ++i) {
    const double decay = n0.decay[i - cells_];
    stage_[i] = (x0[i] + a * (n0.rate[i] + decay * x0[i])) / (1 + a * decay);
  }
  transport_.solve(drive, a, {stage_.data(), cells_});
}

void LegStepper::second_stage(const std::vector<double>& x0, const Slopes& n0, const Slopes& n1, const Drive& drive,
                              double h_s, std::vector<double>& x) {
  const double of_n0 = h_s * (d - (1 - g)), of_n1 = h_s * (1 - d), of_stage = (1 - g) / g, a = g * h_s;
  for (std::size_t i = 0; i < cells_; ++i)
    x[i] = x0[i] + of_n0 * n0.rate[i] + of_n1 * n1.rate[i] + of_stage * (stage_[i] - x0[i]);
  for (std::size_t i = cells_; i < x0.size(); ++i) {
    const double decay = n0.decay[i - cells_];
    x[i] = (x0[i] + of_n0 * (n0.rate[i] + decay * x0[i]) + of_n1 * (n1.rate[i] + decay * stage_[i]) +
            of_stage * (stage_[i] - x0[i])) /
           (1 + a * decay);
  }
  transport_.solve(drive, a, {x.data(), cells_});
}

double LegStepper::distance(const std::vector<double>& a, const std::vector<double>& b) const {
  double worst = 0;
  for (std::size_t i = 0; i < a.size(); ++i) worst = std::max(worst, std::abs(a[i] - b[i]) * inverse_scale_[i]);
  return worst;
}

double LegStepper::estimate(const std::vector<double>& x0, const std::vector<double>& x) const {
  double worst = 0;
  for (std::size_t i = 0; i < x.size(); ++i)
    worst = std::max(worst, std::abs(x[i] - x0[i] - (stage_[i] - x0[i]) / g) * inverse_scale_[i]);
  return worst;
}

bool LegStepper::any_negative(const std::vector<double>& x) const {
  const std::size_t n = plant_->components();
  for (std::size_t c = 0; c < plant_->cells().size(); ++c) {
    if (plant_->cells()[c].kind != CellKind::inner) continue;
    const double little = -round_off * std::max(x[c * n], least_volume_m3);
    for (std::size_t j = 0; j < n; ++j)
      if (x[c * n + j] < little * peak_[j] && !plant_->is_signed(j)) return true;
  }
  return false;
}

LegReport LegStepper::advance(const LegEnd& start, double time_s, double h_s, bool whole, const Surroundings& around,
                              LegEnd& end) {
  LegReport report;
  const std::size_t n = plant_->components();
  const auto volumes = [&](const std::vector<double>& x, std::vector<double>& out) {
    for (std::size_t c = 0; c < out.size(); ++c) out[c] = x[c * n];
  };
  const auto couple = [&](const std::vector<double>& x) {
    const SolveReport solved = machine_.couple(x, time_s + h_s, around, end.picture);
    ++report.solves;
    report.iterations += solved.iterations;
  };
  set_scales(start.x);
  volumes(start.x, volume_start_);
  volume_end_ = volume_start_;
  machine_.slopes(start.x, time_s, around, start.picture, n0_);

  // Prediction: everything but transport and decay held.
  const Drive held = drive_at(0, start, start, n0_);
  first_stage(start.x, n0_, held, h_s);
  second_stage(start.x, n0_, n0_, held, h_s, predicted_);
  end.picture = start.picture;
  couple(predicted_);
  volumes(predicted_, volume_end_);

  report.parts = 1;
  if (!whole) {
    const std::span<const double> cells(start.x.data(), cells_);
    const double turnover = std::max(fastest_turnover_1_s(*plant_, cells, start.picture.network.flow_m3_s, outflow_),
                                     fastest_turnover_1_s(*plant_, cells, end.picture.network.flow_m3_s, outflow_));
    report.parts = static_cast<int>(std::clamp(std::ceil(turnover * h_s / positive_up_to), 1.0, double{most_parts}));
  }
  const double part_s = h_s / report.parts;
  end.x = start.x;
  for (int p = 0; p < report.parts; ++p) {
    const double done = static_cast<double>(p) / report.parts, share = 1.0 / report.parts;
    if (p > 0) {
      mix(done, start, end);
      machine_.slopes(end.x, time_s + p * part_s, around, mixed_, n0_);
    }
    first_stage(end.x, n0_, drive_at(done + g * share, start, end, n0_), part_s);
    mix(done + g * share, start, end);
    machine_.slopes(stage_, time_s + (p + g) * part_s, around, mixed_, n1_);
    part_start_ = end.x;
    second_stage(part_start_, n0_, n1_, drive_at(done + share, start, end, n1_), part_s, end.x);
    report.error = std::max(report.error, estimate(part_start_, end.x));
  }
  report.negative = any_negative(end.x);
  if (distance(predicted_, end.x) > settled) couple(end.x);
  return report;
}

}  // namespace wetrun
