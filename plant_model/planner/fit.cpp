#include "plant_model/planner/fit.hpp"

#include <algorithm>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace rimebench {

namespace {

constexpr int kStepsMax = 500;
constexpr double kDampingMax = 1e14;
constexpr double kDifference = 1e-5;  // of an unknown's magnitude
/// A step this small against every unknown's standard error changes nothing that is printed.
constexpr double kStepSmall = 1e-8;
constexpr double kPivotMin = 1e-13;

using Vector = std::vector<double>;

double sum_of_squares(std::span<const double> values) {
  double sum = 0.0;
  for (const double value : values) sum += value * value;
  return sum;
}

/// A small symmetric positive matrix as its Cholesky factor.
class Cholesky {
 public:
  /// `matrix` row by row, with a diagonal near 1. False if it is singular to working precision.
  bool factor(const Vector& matrix, std::size_t size) {
    size_ = size;
    lower_.assign(size * size, 0.0);
    for (std::size_t i = 0; i < size; ++i) {
      for (std::size_t j = 0; j <= i; ++j) {
        double sum = matrix[i * size + j];
        for (std::size_t k = 0; k < j; ++k) sum -= lower_[i * size + k] * lower_[j * size + k];
        if (i == j && !(sum > kPivotMin)) return false;
        lower_[i * size + j] = i == j ? std::sqrt(sum) : sum / lower_[j * size + j];
      }
    }
    return true;
  }

  Vector solve(Vector right) const {
    for (std::size_t i = 0; i < size_; ++i) {
      for (std::size_t k = 0; k < i; ++k) right[i] -= lower_[i * size_ + k] * right[k];
      right[i] /= lower_[i * size_ + i];
    }
    for (std::size_t i = size_; i-- > 0;) {
      for (std::size_t k = i + 1; k < size_; ++k) right[i] -= lower_[k * size_ + i] * right[k];
      right[i] /= lower_[i * size_ + i];
    }
    return right;
  }

  /// Square of the length of L^-1 v: v' A^-1 v.
  double quadratic_inverse(const Vector& v) const {
    const Vector solved = solve(v);
    double sum = 0.0;
    for (std::size_t i = 0; i < size_; ++i) sum += v[i] * solved[i];
    return sum;
  }

 private:
  Vector lower_;
  std::size_t size_{};
};

/// The model near a point, with each unknown in units of the inverse length of its column.
class Linearised {
 public:
  Linearised(const Residuals& residuals, std::span<const Unknown> unknowns, const Vector& at,
             std::size_t rows)
      : size_(at.size()), rows_(rows), jacobian_(rows * at.size()), lengths_(at.size()) {
    Vector above(rows), below(rows), moved = at;
    for (std::size_t j = 0; j < size_; ++j) {
      const double step = kDifference * std::max(std::abs(at[j]), unknowns[j].scale);
      moved[j] = at[j] + step;
      residuals(moved, above);
      moved[j] = at[j] - step;
      residuals(moved, below);
      moved[j] = at[j];
      double length = 0.0;
      for (std::size_t i = 0; i < rows; ++i) {
        const double slope = (below[i] - above[i]) / (2.0 * step);
        jacobian_[i * size_ + j] = slope;
        length += slope * slope;
      }
      lengths_[j] = std::sqrt(length);
    }
  }

  /// False if an unknown changes nothing, or something that is not finite.
  bool usable() const {
    return std::all_of(lengths_.begin(), lengths_.end(),
                       [](double length) { return std::isfinite(length) && length > 0.0; });
  }

  double scaled(std::size_t row, std::size_t column) const {
    return jacobian_[row * size_ + column] / lengths_[column];
  }
  double length(std::size_t column) const { return lengths_[column]; }

  Vector row(std::size_t index) const {
    Vector values(size_);
    for (std::size_t j = 0; j < size_; ++j) values[j] = scaled(index, j);
    return values;
  }

  Vector normal_matrix(double damping) const {
    Vector matrix(size_ * size_);
    for (std::size_t i = 0; i < rows_; ++i) {
      for (std::size_t j = 0; j < size_ * size_; ++j) {
        matrix[j] += scaled(i, j / size_) * scaled(i, j % size_);
      }
    }
    for (std::size_t j = 0; j < size_; ++j) matrix[j * size_ + j] += damping;
    return matrix;
  }

  Vector gradient(const Vector& residual) const {
    Vector result(size_);
    for (std::size_t i = 0; i < rows_; ++i) {
      for (std::size_t j = 0; j < size_; ++j) result[j] += scaled(i, j) * residual[i];
    }
    return result;
  }

 private:
  std::size_t size_;
  std::size_t rows_;
  Vector jacobian_;
  Vector lengths_;
};

/// What every fit reports, from the model at its solution.
std::optional<Fit> finished(const Linearised& model, Vector parameters, Vector residuals) {
  Fit fit;
  const std::size_t size = parameters.size();
  fit.residual_ss = sum_of_squares(residuals);
  fit.degrees_of_freedom = static_cast<int>(residuals.size() - size);
  Cholesky cholesky;
  if (!cholesky.factor(model.normal_matrix(0.0), size)) return std::nullopt;
  const double variance = fit.residual_ss / fit.degrees_of_freedom;
  fit.covariance.resize(size * size);
  for (std::size_t j = 0; j < size; ++j) {
    Vector unit(size);
    unit[j] = 1.0;
    const Vector column = cholesky.solve(unit);
    for (std::size_t i = 0; i < size; ++i) {
      fit.covariance[i * size + j] = variance * column[i] / (model.length(i) * model.length(j));
    }
  }
  for (std::size_t i = 0; i < residuals.size(); ++i) {
    fit.leverages.push_back(cholesky.quadratic_inverse(model.row(i)));
  }
  fit.parameters = std::move(parameters);
  fit.residuals = std::move(residuals);
  return fit;
}

/// One search from the start to where no step makes the sum of squares smaller.
class Search {
 public:
  Search(const Residuals& residuals, std::span<const Unknown> unknowns, std::size_t rows)
      : residuals_(residuals), unknowns_(unknowns), residual_(rows) {
    for (const Unknown& unknown : unknowns) at_.push_back(unknown.start);
    residuals_(at_, residual_);
    ss_ = sum_of_squares(residual_);
  }

  std::optional<Fit> run() {
    if (!std::isfinite(ss_)) return std::nullopt;
    for (int step = 0; step < kStepsMax; ++step) {
      const Linearised model(residuals_, unknowns_, at_, residual_.size());
      if (!model.usable()) return std::nullopt;
      if (!improve(model)) return finished(model, at_, residual_);
    }
    return std::nullopt;
  }

 private:
  /// Takes one step that lowers the sum of squares; false once none does.
  bool improve(const Linearised& model) {
    const Vector gradient = model.gradient(residual_);
    for (; damping_ < kDampingMax; damping_ *= 10.0) {
      Cholesky cholesky;
      if (!cholesky.factor(model.normal_matrix(damping_), at_.size())) continue;
      const Vector step = cholesky.solve(gradient);
      Vector next = at_;
      for (std::size_t j = 0; j < next.size(); ++j) next[j] += step[j] / model.length(j);
      Vector residual(residual_.size());
      residuals_(next, residual);
      const double ss = sum_of_squares(residual);
      if (!(ss <= ss_)) continue;
      const double free = static_cast<double>(residual_.size() - at_.size());
      const bool small = std::sqrt(sum_of_squares(step)) <= kStepSmall * std::sqrt(ss_ / free);
      const bool still = ss == ss_ || next == at_;
      at_ = std::move(next);
      residual_ = std::move(residual);
      ss_ = ss;
      damping_ = std::max(damping_ / 10.0, 1e-12);
      return !(small || still);
    }
    return false;
  }

  const Residuals& residuals_;
  std::span<const Unknown> unknowns_;
  Vector at_;
  Vector residual_;
  double ss_{};
  double damping_{1e-3};
};

}  // namespace

double Fit::residual_sd() const { return std::sqrt(residual_ss / degrees_of_freedom); }

Estimate Fit::estimate(std::size_t i, double confidence) const {
  const double sd = std::sqrt(covariance_of(i, i));
  const double half = student_t(confidence, degrees_of_freedom) * sd;
  return {parameters[i], sd, parameters[i] - half, parameters[i] + half};
}

std::optional<Fit> fit_line(std::span<const double> x, std::span<const double> y,
                            std::span<const double> weights) {
  constexpr std::size_t kUnknowns = 2;
  double total = 0.0, mean_x = 0.0, mean_y = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    total += weights[i];
    mean_x += weights[i] * x[i];
    mean_y += weights[i] * y[i];
  }
  mean_x /= total;
  mean_y /= total;
  double xx = 0.0, xy = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += weights[i] * (x[i] - mean_x) * (x[i] - mean_x);
    xy += weights[i] * (x[i] - mean_x) * (y[i] - mean_y);
  }
  if (x.size() <= kUnknowns || !(xx > 0.0)) return std::nullopt;
  Fit fit;
  const double slope = xy / xx;
  fit.parameters = {mean_y - slope * mean_x, slope};
  for (std::size_t i = 0; i < x.size(); ++i) {
    const double off = x[i] - mean_x;
    fit.residuals.push_back(std::sqrt(weights[i]) * (y[i] - mean_y - slope * off));
    fit.leverages.push_back(weights[i] * (1.0 / total + off * off / xx));
  }
  fit.residual_ss = sum_of_squares(fit.residuals);
  fit.degrees_of_freedom = static_cast<int>(x.size() - kUnknowns);
  const double variance = fit.residual_ss / fit.degrees_of_freedom;
  fit.covariance = {variance * (1.0 / total + mean_x * mean_x / xx), -variance * mean_x / xx,
                    -variance * mean_x / xx, variance / xx};
  return fit;
}

std::optional<Fit> fit_model(const Residuals& residuals, std::span<const Unknown> unknowns,
                             std::size_t rows) {
  if (rows <= unknowns.size()) return std::nullopt;
  return Search(residuals, unknowns, rows).run();
}

Estimate derived(const Fit& fit, std::span<const double> steps,
                 const std::function<double(std::span<const double>)>& figure, double confidence) {
  std::vector<double> slopes, moved = fit.parameters;
  for (std::size_t j = 0; j < moved.size(); ++j) {
    moved[j] = fit.parameters[j] + steps[j];
    const double above = figure(moved);
    moved[j] = fit.parameters[j] - steps[j];
    slopes.push_back((above - figure(moved)) / (2.0 * steps[j]));
    moved[j] = fit.parameters[j];
  }
  double variance = 0.0;
  for (std::size_t i = 0; i < slopes.size(); ++i) {
    for (std::size_t j = 0; j < slopes.size(); ++j) {
      variance += slopes[i] * slopes[j] * fit.covariance_of(i, j);
    }
  }
  const double value = figure(fit.parameters);
  const double sd = std::sqrt(std::max(variance, 0.0));
  const double half = student_t(confidence, fit.degrees_of_freedom) * sd;
  return {value, sd, value - half, value + half};
}

double student_t(double confidence, int degrees_of_freedom) {
  const boost::math::students_t t(degrees_of_freedom);
  return boost::math::quantile(boost::math::complement(t, 0.5 * (1.0 - confidence)));
}

double f_tail(double f, int numerator_freedom, int denominator_freedom) {
  const boost::math::fisher_f distribution(numerator_freedom, denominator_freedom);
  return boost::math::cdf(boost::math::complement(distribution, f));
}

std::vector<double> studentised(const Fit& fit) {
  std::vector<double> result;
  for (std::size_t i = 0; i < fit.residuals.size(); ++i) {
    const double room = 1.0 - fit.leverages[i];
    const double own = fit.residuals[i] * fit.residuals[i] / room;
    const double without = (fit.residual_ss - own) / (fit.degrees_of_freedom - 1);
    const bool judged = room > 1e-9 && fit.degrees_of_freedom > 1 && without > 0.0;
    result.push_back(judged ? fit.residuals[i] / std::sqrt(without * room) : 0.0);
  }
  return result;
}

double outlier_limit(const Fit& fit) {
  constexpr double kFalseAlarms = 0.05;
  const int freedom = std::max(fit.degrees_of_freedom - 1, 1);
  return student_t(1.0 - kFalseAlarms / static_cast<double>(fit.residuals.size()), freedom);
}

}  // namespace rimebench
