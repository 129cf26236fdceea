# The local level of the Nile's flow as R fits and filters it: the variances,
# then year, flow and filtered level.
# Source: R, functions StructTS and fitted of package stats, data set Nile of
# package datasets.
fit <- StructTS(Nile, type = "level")
cat(sprintf("%s %.17g\n", names(fit$coef), fit$coef), sep = "")
cat(sprintf("%d %.17g %.17g\n", 1871:1970, as.numeric(Nile), as.numeric(fitted(fit))), sep = "")
