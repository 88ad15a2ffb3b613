"""Jurin, Washburn; Bird, Stewart and Lightfoot: liquid in narrow gaps."""
