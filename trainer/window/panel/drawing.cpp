#include "trainer/window/panel/drawing.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace wetrun::ui {
namespace {

constexpr float pi = std::numbers::pi_v<float>;

/// The route with its corners rounded, in pixels.
std::vector<ImVec2> rounded_route(const Pen& pen, const std::vector<Point>& route, float radius) {
  std::vector<ImVec2> points;
  for (std::size_t i = 0; i < route.size(); ++i) {
    if (i == 0 || i + 1 == route.size()) {
      points.push_back(pen.at(route[i]));
      continue;
    }
    const Point a = route[i - 1], b = route[i], d = route[i + 1];
    const float in = std::hypot(b.x - a.x, b.y - a.y), out = std::hypot(d.x - b.x, d.y - b.y);
    const float r = std::min({radius, in * 0.49F, out * 0.49F});
    if (r < 0.5F) {
      points.push_back(pen.at(b));
      continue;
    }
    const Point p{b.x - (b.x - a.x) / in * r, b.y - (b.y - a.y) / in * r};
    const Point q{b.x + (d.x - b.x) / out * r, b.y + (d.y - b.y) / out * r};
    for (int k = 0; k <= 8; ++k) {
      const float t = static_cast<float>(k) / 8, u = 1 - t;
      points.push_back(
          pen.at(u * u * p.x + 2 * u * t * b.x + t * t * q.x, u * u * p.y + 2 * u * t * b.y + t * t * q.y));
    }
  }
  return points;
}

}  // namespace

bool Pen::shows(const std::string& unit, std::string_view signal) const {
  const SignalId id = stage.signals.find(unit + "." + std::string(signal));
  return id.valid() && stage.signals[id].visibility == Visibility::skid;
}

double Pen::seen(const std::string& unit, std::string_view signal, double otherwise) const {
  const SignalId id = stage.signals.find(unit + "." + std::string(signal));
  if (!id.valid() || stage.signals[id].visibility != Visibility::skid) return otherwise;
  book.note(id, stage.frame[id]);
  return stage.frame[id];
}

float Pen::wave(double hertz, double phase) const {
  return 0.5F + 0.5F * static_cast<float>(std::sin(2 * std::numbers::pi * hertz * time_s() + phase));
}

void Pen::plate(const Box& box, float radius, ImU32 top_left, ImU32 bottom_right, float thick) {
  const art::Shape shape = art::rounded(view.to_screen(box), px(radius));
  art::fill(list, shape, top_left, bottom_right);
  outline(shape, thick);
}

void Pen::drum(const Box& box, bool upright, float radius) {
  const Box b = view.to_screen(box);
  art::tube(list, b, upright, art::lit(c.steel_light, 0.5F), c.steel, c.steel_dark);
  list.AddRect({b.x0, b.y0}, {b.x1, b.y1}, c.ink, px(radius), 0, hair());
}

void Pen::disc(Point middle, float radius, ImU32 top_left, ImU32 bottom_right, float thick) {
  const art::Shape shape = art::circle(at(middle), px(radius));
  art::fill(list, shape, top_left, bottom_right);
  outline(shape, thick);
}

void Pen::tube(const std::vector<Point>& route, float width) {
  std::vector<ImVec2> line = rounded_route(*this, route, width * 1.3F);
  const auto stroke = [&](ImU32 colour, float wide, float shift) {
    for (ImVec2& p : line) p = {p.x - shift, p.y - shift};
    list.AddPolyline(line.data(), static_cast<int>(line.size()), colour, 0, wide);
    for (ImVec2& p : line) p = {p.x + shift, p.y + shift};
  };
  const float w = px(width);
  stroke(c.ink, w + 2 * hair(), 0);
  stroke(c.steel_dark, w, 0);
  stroke(blend(c.steel, c.steel_dark, 0.35F), w * 0.74F, w * 0.09F);
  stroke(c.steel, w * 0.54F, w * 0.13F);
  stroke(c.steel_light, w * 0.3F, w * 0.16F);
}

void Pen::flange(Point p, float width, bool upright) {
  const float half = width / 2 + 4;
  const Box box =
      upright ? Box{p.x - half, p.y - 3, p.x + half, p.y + 3} : Box{p.x - 3, p.y - half, p.x + 3, p.y + half};
  drum(box, upright, 1);
}

void Pen::words(Point middle, float height, ImU32 colour, std::string_view text, bool bold) {
  if (px(height) < least_type()) return;
  art::sized_text(kit, list, px(height), at(middle), colour, text, Align::middle, bold);
}

void Pen::drip(Point from, float fall, ImU32 colour) {
  for (int i = 0; i < 3; ++i) {
    const float phase = std::fmod(static_cast<float>(time_s()) * 1.4F + 0.37F * static_cast<float>(i) + 0.2F, 1.0F);
    const Point p{from.x + 3 * static_cast<float>(i - 1), from.y + fall * phase * phase};
    const float r = px(2.6F);
    list.AddCircleFilled(at(p), r, colour);
    list.AddTriangleFilled({at(p).x - r * 0.8F, at(p).y - r * 0.4F}, {at(p).x, at(p).y - r * 2.6F},
                           {at(p).x + r * 0.8F, at(p).y - r * 0.4F}, colour);
  }
}

void Pen::spray(Point from, float reach, ImU32 colour) {
  for (int i = 0; i < 13; ++i) {
    const float turn = pi * (1.12F + 0.76F * static_cast<float>(i) / 12);
    const float phase = std::fmod(static_cast<float>(time_s()) * 2.2F + 0.618F * static_cast<float>(i), 1.0F);
    const float d = reach * (0.25F + 0.75F * phase);
    const Point p{from.x + d * std::cos(turn), from.y + d * std::sin(turn) + 0.9F * reach * phase * phase};
    const Point q{from.x + 0.7F * d * std::cos(turn),
                  from.y + 0.7F * d * std::sin(turn) + 0.45F * reach * phase * phase};
    list.AddLine(at(q), at(p), fade(colour, 0.9F - 0.5F * phase), hair(1.4F));
    list.AddCircleFilled(at(p), px(1.8F), colour);
  }
}

void Pen::flag(const Box& box) {
  const float size = std::max(px(22), kit.px(13));
  const ImVec2 corner = at(box.x1, box.y0);
  art::triangle(kit, list, {corner.x - size * 0.75F, corner.y - size * 0.25F}, size, c.alarm);
}

bool is_abnormal(const Pen& pen, const Item& item) {
  const auto any = [&](std::initializer_list<const char*> signals) {
    return std::any_of(signals.begin(), signals.end(), [&](const char* signal) { return pen.is(item.unit, signal); });
  };
  switch (item.kind) {
    case ItemKind::tank:
      return any({"overflowing", "fumes", "spatter"});
    case ItemKind::pump:
      return any({"leaking", "casing_hot", "burnt_smell"});
    case ItemKind::filter:
      return any({"accident"});
    case ItemKind::joint:
      return any({"spraying", "mended_live"});
    case ItemKind::return_hose:
      return any({"backed_up"});
    case ItemKind::stack:
      return any({"frame_leak", "chlorine_smell"});
    case ItemKind::cabinet:
      return any({"tripped", "breaker_tripped"}) || (any({"door_open"}) && any({"earth_loose"}));
    default:
      return false;
  }
}

void draw_item(Pen& pen, const Item& item, double position) {
  switch (item.kind) {
    case ItemKind::tank:
      draw_tank(pen, item);
      break;
    case ItemKind::pump:
      draw_pump(pen, item);
      break;
    case ItemKind::lever_valve:
    case ItemKind::wheel_valve:
      draw_valve(pen, item, position);
      break;
    case ItemKind::strainer:
      draw_strainer(pen, item);
      break;
    case ItemKind::filter:
      draw_filter(pen, item);
      break;
    case ItemKind::gauge:
      draw_gauge(pen, item);
      break;
    case ItemKind::flow_meter:
      draw_flow_meter(pen, item);
      break;
    case ItemKind::electrode:
      draw_electrode(pen, item);
      break;
    case ItemKind::sample_point:
      draw_sample_point(pen, item);
      break;
    case ItemKind::thermometer:
      draw_thermometer(pen, item);
      break;
    case ItemKind::array:
      draw_array(pen, item);
      break;
    case ItemKind::stack:
      draw_stack(pen, item);
      break;
    case ItemKind::cabinet:
      draw_cabinet(pen, item);
      break;
    case ItemKind::hose:
      draw_hose(pen, item);
      break;
    case ItemKind::return_hose:
      draw_return_hose(pen, item);
      break;
    case ItemKind::joint:
      draw_joint(pen, item);
      break;
    case ItemKind::supply:
      draw_supply(pen, item);
      break;
    case ItemKind::sewer:
      break;  // part of the ground
    case ItemKind::other:
      draw_other(pen, item);
      break;
  }
  if (is_abnormal(pen, item)) pen.flag(item.box);
}

}  // namespace wetrun::ui
