"""Moving sources of heat: Rosenthal, Jaeger."""
