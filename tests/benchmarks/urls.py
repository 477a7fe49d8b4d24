from django.urls import path

from studio.urls import urlpatterns as pages
from tests.benchmarks import floor

urlpatterns = [*pages, path("floor/", floor.ok)]
