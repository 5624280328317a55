#include "engine/network/network.h"

#include <set>

#include "engine/network/plan.h"

namespace wetrun {
namespace {

void require_new_name(const std::vector<std::string>& names, const char* what) {
  std::set<std::string_view> seen;
  for (const auto& name : names)
    if (!seen.insert(name).second)
      throw InputError(std::string(what) + " '" + name + "' appears twice in the network", "give each its own name");
}

}  // namespace

NodeId Network::add_junction(std::string name, double elevation_m) {
  WETRUN_REQUIRE(!plan_);
  nodes_.push_back({std::move(name), elevation_m, true});
  return NodeId{static_cast<std::uint32_t>(nodes_.size() - 1)};
}

NodeId Network::add_boundary(std::string name, double elevation_m) {
  const NodeId id = add_junction(std::move(name), elevation_m);
  nodes_.back().junction = false;
  return id;
}

LinkId Network::add_link(std::string name, NodeId a, NodeId b, std::shared_ptr<const LinkLaw> law) {
  WETRUN_REQUIRE(law != nullptr);
  const std::size_t count = law->default_settings().size();
  const LinkId id = add_given_flow(std::move(name), a, b);
  links_.back().law = std::move(law);
  links_.back().settings = count;
  settings_ += count;
  return id;
}

LinkId Network::add_given_flow(std::string name, NodeId a, NodeId b) {
  WETRUN_REQUIRE(!plan_);
  WETRUN_REQUIRE(a.valid() && a.index() < nodes_.size() && b.valid() && b.index() < nodes_.size());
  if (a == b) throw InputError("link '" + name + "' begins and ends at the same node", "join two different nodes");
  links_.push_back({std::move(name), a, b, nullptr, settings_, 0});
  return LinkId{static_cast<std::uint32_t>(links_.size() - 1)};
}

void Network::finish() {
  WETRUN_REQUIRE(!plan_);
  std::vector<std::string> names;
  for (const auto& node : nodes_) names.push_back(node.name);
  require_new_name(names, "node");
  names.clear();
  for (const auto& link : links_) names.push_back(link.name);
  require_new_name(names, "link");

  std::vector<bool> joined(nodes_.size());
  for (std::size_t i = 0; i < nodes_.size(); ++i) joined[i] = !nodes_[i].junction;
  for (bool grew = true; grew;) {
    grew = false;
    for (const auto& link : links_)
      if (link.law && joined[link.a.index()] != joined[link.b.index()])
        grew = joined[link.a.index()] = joined[link.b.index()] = true;
  }
  for (std::size_t i = 0; i < nodes_.size(); ++i)
    if (!joined[i])
      throw InputError(
          "no path of pipes and fittings joins '" + nodes_[i].name + "' to a tank or another given pressure",
          "connect it, or remove it");

  auto plan = std::make_shared<Plan>();
  std::vector<std::uint32_t> vertex_of_node(nodes_.size(), no_slot);
  std::uint32_t vertices = 0;
  for (std::size_t i = 0; i < nodes_.size(); ++i)
    if (nodes_[i].junction) vertex_of_node[i] = vertices++;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> pairs;
  for (const auto& link : links_) {
    const auto a = vertex_of_node[link.a.index()], b = vertex_of_node[link.b.index()];
    if (link.law && a != no_slot && b != no_slot) pairs.emplace_back(a, b);
  }
  std::vector<std::uint32_t> row_of_vertex;
  plan->elimination = Elimination::make(vertices, pairs, row_of_vertex);

  std::vector<std::uint32_t> slot_of_node(nodes_.size());
  plan->node_of_slot.resize(nodes_.size());
  std::uint32_t boundary = vertices;
  for (std::uint32_t i = 0; i < nodes_.size(); ++i) {
    slot_of_node[i] = nodes_[i].junction ? row_of_vertex[vertex_of_node[i]] : boundary++;
    plan->node_of_slot[slot_of_node[i]] = i;
  }
  for (const bool of_terms : {true, false})
    for (std::uint32_t k = 0; k < links_.size(); ++k) {
      const Link& link = links_[k];
      const auto* terms = dynamic_cast<const TermLaw*>(link.law.get());
      if (!link.law || (terms != nullptr) != of_terms) continue;
      plan->link_of_place.push_back(k);
      plan->lift_j_kg.push_back(gravity_m_s2 *
                                (nodes_[link.a.index()].elevation_m - nodes_[link.b.index()].elevation_m));
      plan->ends.push_back(plan->ends_of(slot_of_node[link.a.index()], slot_of_node[link.b.index()]));
      plan->settings.push_back(
          {static_cast<std::uint32_t>(link.first_setting), static_cast<std::uint32_t>(link.settings)});
      if (of_terms) {
        plan->terms.push_back(terms);
      } else {
        plan->laws.push_back(link.law.get());
        plan->gradual.push_back(link.law->gradual());
      }
    }
  for (std::uint32_t k = 0; k < links_.size(); ++k)
    if (!links_[k].law)
      plan->given.push_back({k, slot_of_node[links_[k].a.index()], slot_of_node[links_[k].b.index()]});
  plan_ = std::move(plan);
}

Network::Plan::Ends Network::Plan::ends_of(std::uint32_t a, std::uint32_t b) const {
  const auto n = static_cast<std::uint32_t>(rows()), excess_of_row_0 = static_cast<std::uint32_t>(excess());
  const std::uint32_t nowhere = excess_of_row_0 + n;
  if (a < n && b < n) {  // w_ba += (1 - slope_pressure) g, w_ab += g
    const std::uint32_t edge = a < b ? elimination.find(a, b) : elimination.find(b, a);
    return {a, b, 2 * edge + (a < b ? 0 : 1), 2 * edge + (a < b ? 1 : 0)};
  }
  return {a, b, a < n ? excess_of_row_0 + a : nowhere, b < n ? excess_of_row_0 + b : nowhere};
}

NodeId Network::find_node(std::string_view name) const {
  for (std::size_t i = 0; i < nodes_.size(); ++i)
    if (nodes_[i].name == name) return NodeId{static_cast<std::uint32_t>(i)};
  return {};
}

LinkId Network::find_link(std::string_view name) const {
  for (std::size_t i = 0; i < links_.size(); ++i)
    if (links_[i].name == name) return LinkId{static_cast<std::uint32_t>(i)};
  return {};
}

NetworkState::NetworkState(const Network& network)
    : pressure_pa(network.nodes().size(), 0.0),
      flow_m3_s(network.links().size(), 0.0),
      fluid(network.links().size()),
      content_slope_1_s(network.links().size(), 0.0) {
  for (const auto& link : network.links())
    if (link.law)
      for (const double value : link.law->default_settings()) settings.push_back(value);
}

std::span<double> NetworkState::setting(const Network& network, LinkId id) {
  const auto& link = network.links()[id.index()];
  return std::span<double>(settings).subspan(link.first_setting, link.settings);
}

}  // namespace wetrun
