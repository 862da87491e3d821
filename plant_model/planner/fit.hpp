#pragma once

/// Least squares, and what it says about its own certainty. The straight line is solved in closed
/// form about the centre of the data, everything else by damped Gauss-Newton steps (Levenberg and
/// Marquardt) with central differences. Debian's solvers for this bring a linear algebra library
/// or a modelling language along; a fit here has four unknowns at most, and the distributions,
/// which are easy to get subtly wrong, come from Boost.Math.

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace rimebench {

/// A figure with its standard error and the interval that holds the truth with the confidence
/// asked for.
struct Estimate {
  double value{};
  double sd{};
  double low{};
  double high{};
};

/// The outcome of a least-squares fit. Residuals are measured minus fitted, times the square root
/// of the weight.
struct Fit {
  std::vector<double> parameters;
  std::vector<double> covariance;  ///< of the parameters, row by row
  std::vector<double> residuals;
  std::vector<double> leverages;  ///< share of itself that each row brings into its fitted value
  double residual_ss{};
  int degrees_of_freedom{};

  double residual_sd() const;
  double covariance_of(std::size_t i, std::size_t j) const {
    return covariance[i * parameters.size() + j];
  }
  /// Parameter `i` with the interval of Student's t.
  Estimate estimate(std::size_t i, double confidence) const;
};

/// Intercept and slope (in this order) of y over x. Nothing if there are fewer than three points or
/// x does not vary.
std::optional<Fit> fit_line(std::span<const double> x, std::span<const double> y,
                            std::span<const double> weights);

/// Where the solver starts, and a magnitude that matters, for the steps of its differences.
struct Unknown {
  double start;
  double scale;
};

/// Fills in the weighted residuals for these parameters. What is not finite is never accepted.
using Residuals = std::function<void(std::span<const double>, std::span<double>)>;

/// Least squares of any model. Nothing if there are not more rows than unknowns, the start is not
/// finite, or the rows do not determine every unknown.
std::optional<Fit> fit_model(const Residuals& residuals, std::span<const Unknown> unknowns,
                             std::size_t rows);

/// A figure that follows from the parameters, with the interval that theirs leave it (to first
/// order). `steps` are small changes of each.
Estimate derived(const Fit& fit, std::span<const double> steps,
                 const std::function<double(std::span<const double>)>& figure, double confidence);

/// Two-sided quantile of Student's t: 0.95 gives the 97.5 % point.
double student_t(double confidence, int degrees_of_freedom);

/// Chance of an F ratio this large or larger, if both variances are the same.
double f_tail(double f, int numerator_freedom, int denominator_freedom);

/// Each residual over its own standard error, which a fit without that row estimates. 0 where a
/// row has the fit to itself.
std::vector<double> studentised(const Fit& fit);

/// Size from which a studentised residual stands out of this many: fewer than 1 in 20 honest sets
/// have one (Bonferroni).
double outlier_limit(const Fit& fit);

}  // namespace rimebench
